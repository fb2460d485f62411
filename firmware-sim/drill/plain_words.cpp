#include "firmware-sim/drill/plain_words.hpp"

#include <algorithm>
#include <cctype>

namespace ampturn::sim::drill {

namespace {

using Kind = site::EventType::Kind;

/// A label inside a sentence.
std::string lowered(std::string text) {
    const bool shouted = text.size() > 1 && std::isupper(static_cast<unsigned char>(text[1])) != 0;
    if (!text.empty() && !shouted)
        text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    return text;
}

}  // namespace

std::string plain_words(const site::EventType& type) {
    std::string word(site::detail_name_of(type));
    std::replace(word.begin(), word.end(), '_', ' ');
    switch (type.kind) {
        case Kind::did:
            return lowered(info(std::get<site::Action>(type.detail)).label);
        case Kind::tried:
            return lowered(info(std::get<site::Action>(type.detail)).label) + std::string(" (refused)");
        case Kind::found:
            return "finding " + word;
        case Kind::danger:
            return "the danger " + word;
        case Kind::state_entered:
            return "the unit " + word;
        case Kind::tripped:
            return "the trip " + word;
        case Kind::fault_set:
            return "the trouble \"" + lowered(info(std::get<site::Fault>(type.detail)).label) + "\"";
        case Kind::fault_cleared:
            return "the end of the trouble \"" + lowered(info(std::get<site::Fault>(type.detail)).label) +
                   "\"";
        case Kind::table_done:
            return "the whole table sent";
        case Kind::radio:
            return "the " + word + "'s word by radio";
        case Kind::story:
        case Kind::remark:
            break;
    }
    return word;
}

std::string plain_words(const AnyOf& any) {
    std::string words;
    for (const site::EventType& type : any.types) words += (words.empty() ? "" : " or ") + plain_words(type);
    return words;
}

}  // namespace ampturn::sim::drill
