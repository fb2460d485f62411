#include "tests/fuzz/mutate.hpp"

#include <algorithm>
#include <cctype>
#include <cstring>
#include <nlohmann/json.hpp>
#include <utility>

namespace ampturn::fuzz {

namespace {

using Json = nlohmann::ordered_json;

const std::vector<std::string>& odd_numbers() {
    static const std::vector<std::string> numbers{"0",
                                                  "1",
                                                  "-1",
                                                  "2",
                                                  "3",
                                                  "0.5",
                                                  "1e-3",
                                                  "1e3",
                                                  "64",
                                                  "65",
                                                  "1e300",
                                                  "-1e300",
                                                  "5e-324",
                                                  "1e-300",
                                                  "2147483647",
                                                  "2147483648",
                                                  "-2147483648",
                                                  "4294967296",
                                                  "9223372036854775807",
                                                  "-9223372036854775808",
                                                  "18446744073709551616",
                                                  "nan",
                                                  "inf",
                                                  "-0.0",
                                                  "90",
                                                  "180",
                                                  "1000000"};
    return numbers;
}

const std::vector<std::string>& odd_values() {
    static const std::vector<std::string> values{
        "true",       "false",      "\"\"",     "\"a\"",
        "[]",         "{}",         "[1, 2]",   "[[0, 0], [1, 0], [1, 1]]",
        "\"08:00\"",  "2030-05-17", "08:00:00", "[\"a\"]",
        "\"\\u00e9\""};
    return values;
}

std::string a_value(Random& random) {
    return one_of(random() % 3 == 0 ? odd_values() : odd_numbers(), random);
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        lines.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return lines;
}

/// Every number of the text that stands by itself.
std::vector<std::pair<std::size_t, std::size_t>> numbers_in(const std::string& text) {
    std::vector<std::pair<std::size_t, std::size_t>> found;
    const auto of_number = [](char c) {
        return std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '.' || c == '-' || c == '+';
    };
    for (std::size_t at = 0; at < text.size(); ++at) {
        const bool begins =
            of_number(text[at]) && (at == 0 || std::isalnum(static_cast<unsigned char>(text[at - 1])) == 0);
        if (!begins) continue;
        std::size_t end = at + 1;
        while (end < text.size() && (of_number(text[end]) || text[end] == 'e')) ++end;
        found.emplace_back(at, end - at);
        at = end;
    }
    return found;
}

void collect(Json& value, std::vector<Json*>& all) {
    all.push_back(&value);
    if (value.is_structured())
        for (Json& below : value) collect(below, all);
}

Json any_json(Random& random) {
    const Json parsed = Json::parse(a_value(random), nullptr, false);
    return parsed.is_discarded() ? Json(1e308) : parsed;
}

void rename_or_add(Json& object, const std::vector<std::string>& keys, Random& random) {
    if (keys.empty()) return;
    const std::string& key = one_of(keys, random);
    if (object.empty() || random() % 2 == 0) {
        object[key] = any_json(random);
        return;
    }
    auto member = object.begin();
    std::advance(member, random() % object.size());
    Json value = member.value();
    object.erase(member);
    object[key] = std::move(value);
}

}  // namespace

const std::string& one_of(const std::vector<std::string>& words, Random& random) {
    return words[random() % words.size()];
}

std::string changed_lines(std::string text, const std::vector<std::string>& lines, Random& random) {
    if (random() % 2 == 0) {
        const auto numbers = numbers_in(text);
        if (!numbers.empty()) {
            const auto [at, length] = numbers[random() % numbers.size()];
            return text.replace(at, length, one_of(odd_numbers(), random));
        }
    }
    std::vector<std::string> all = lines_of(text);
    const std::size_t at = all.empty() ? 0 : random() % all.size();
    const auto place = all.begin() + static_cast<std::ptrdiff_t>(at);
    switch (random() % 5) {
        case 0:
            if (!all.empty()) all.erase(place);
            break;
        case 1:
            if (!all.empty()) all.insert(place, std::string(all[at]));
            break;
        case 2:
            if (!all.empty()) std::swap(all[at], all[random() % all.size()]);
            break;
        default:
            if (!lines.empty()) {
                std::string line = one_of(lines, random);
                if (line.ends_with("= ")) line += a_value(random);
                all.insert(place, std::move(line));
            }
    }
    std::string out;
    for (const std::string& line : all) out += line + '\n';
    return out;
}

std::string changed_json(const std::string& text, const std::vector<std::string>& keys, Random& random) {
    Json root = Json::parse(text, nullptr, false);
    if (root.is_discarded()) return text;
    std::vector<Json*> all;
    collect(root, all);
    Json& value = *all[random() % all.size()];
    switch (random() % 6) {
        case 0:
            value = any_json(random);
            break;
        case 1:
            value = Json(*all[random() % all.size()]);
            break;
        case 2:
            if (value.is_array() && !value.empty()) value.push_back(Json(value[random() % value.size()]));
            break;
        case 3:
            if (value.is_array() && !value.empty())
                value.erase(value.begin() + static_cast<std::ptrdiff_t>(random() % value.size()));
            break;
        case 4:
            value = Json::array({Json(value)});
            break;
        default:
            if (value.is_object()) rename_or_add(value, keys, random);
    }
    return root.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::size_t put_back(std::string_view text, std::uint8_t* data, std::size_t size_max) {
    const std::size_t size = std::min(text.size(), size_max);
    std::memcpy(data, text.data(), size);
    return size;
}

}  // namespace ampturn::fuzz
