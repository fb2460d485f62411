#include "scheduler/plan/explain/key_search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <optional>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"

namespace ampturn::plan::explain {

namespace {

using Words = std::vector<std::string>;

std::string lower_case(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// Letters and digits that stand together: "battery.capacity_ah" is battery, capacity, ah.
Words parts_of(const std::string& text) {
    Words parts(1);
    for (const char c : text) {
        if (std::isalnum(static_cast<unsigned char>(c)) != 0)
            parts.back() += c;
        else if (!parts.back().empty())
            parts.emplace_back();
    }
    if (parts.back().empty()) parts.pop_back();
    return parts;
}

/// A key with all that words are looked for in, in lower case.
struct Entry {
    const FlatKey* key;
    std::string text;
    Words parts;

    bool has(const std::string& word) const {
        constexpr std::size_t letters_least = 3;  // shorter ones stand inside nearly every text
        const Words letters = parts_of(word);
        if (word.size() >= letters_least || letters.empty()) return text.find(word) != std::string::npos;
        return std::find(parts.begin(), parts.end(), letters[0]) != parts.end();
    }
    bool has_all(const Words& words) const {
        return std::all_of(words.begin(), words.end(), [&](const std::string& word) { return has(word); });
    }
};

std::vector<Entry> entries_of(const std::vector<FlatKey>& keys) {
    std::vector<Entry> out;
    for (const FlatKey& key : keys) {
        Entry entry{&key, "", {}};
        entry.text = lower_case(fmt::format("{} {} {}", key.full_key, key.info->unit, key.info->help));
        entry.parts = parts_of(entry.text);
        out.push_back(std::move(entry));
    }
    return out;
}

std::vector<const Entry*> with_all(const std::vector<Entry>& entries, const Words& words) {
    std::vector<const Entry*> out;
    for (const Entry& entry : entries)
        if (entry.has_all(words)) out.push_back(&entry);
    return out;
}

/// Each word that nothing has replaced by the nearest that something has; nothing when one has no neighbour, or when
/// no key has them all.
std::optional<Words> nearest_words(const std::vector<Entry>& entries, Words words) {
    Words known;
    for (const Entry& entry : entries)
        for (const std::string& part : entry.parts)
            if (std::find(known.begin(), known.end(), part) == known.end()) known.push_back(part);
    for (std::string& word : words) {
        if (!with_all(entries, {word}).empty()) continue;
        const auto nearest = file::nearest_name(word, known);
        if (!nearest) return std::nullopt;
        word = *nearest;
    }
    return with_all(entries, words).empty() ? std::nullopt : std::optional(std::move(words));
}

[[noreturn]] void refuse(const Words& given, std::string found, std::string allowed) {
    throw base::InputError(
        {"", {}, fmt::format("{}", fmt::join(given, " ")), std::move(found), std::move(allowed)});
}

/// What to try instead of words that no key has all of.
[[noreturn]] void refuse_with_nearest(const Words& given, const Words& words,
                                      const std::vector<FlatKey>& keys, const std::vector<Entry>& entries) {
    if (given.size() == 1) {
        if (const auto now = name_now_of(given[0]))
            refuse(given, "an unknown key", fmt::format("\"{}\", its name now", *now));
        Words names;
        for (const FlatKey& key : keys) names.push_back(key.full_key);
        if (const auto nearest = file::nearest_name(given[0], names))
            refuse(given, "an unknown key", fmt::format("the nearest known key \"{}\"", *nearest));
    }
    if (const auto nearest = words.empty() ? std::nullopt : nearest_words(entries, words))
        refuse(given, "words that no key has",
               fmt::format("the nearest that one has: `ampturn explain {}`", fmt::join(*nearest, " ")));
    std::string alone;
    for (const std::string& word : words)
        if (const std::size_t count = with_all(entries, {word}).size(); count > 0)
            alone += fmt::format("{}\"{}\" (in {} keys)", alone.empty() ? "" : ", ", word, count);
    if (alone.empty())
        refuse(given, "an unknown key", "a key that `ampturn explain` lists, or words of its meaning");
    refuse(given, "words that no key has together", "fewer of them: " + alone);
}

/// A renamed key is told its name of now, even where the old one occurs as a word.
bool is_former_name(const Words& words) {
    if (words.size() != 1 || explain_key(words[0])) return false;
    return name_now_of(words[0]).has_value();
}

}  // namespace

std::string explain_words(const Words& given) {
    if (given.size() == 1)
        if (const auto exact = explain_key(given[0])) return *exact;
    Words words;
    for (const std::string& text : given) {  // of one argument in quotes, too
        std::size_t at = 0;
        while (at < text.size()) {
            const std::size_t end = std::min(text.find(' ', at), text.size());
            if (end > at) words.push_back(lower_case(text.substr(at, end - at)));
            at = end + 1;
        }
    }
    const std::vector<FlatKey> keys = flatten(file::plan_key_infos());
    const std::vector<Entry> entries = entries_of(keys);
    const std::vector<const Entry*> found =
        words.empty() || is_former_name(given) ? std::vector<const Entry*>{} : with_all(entries, words);
    if (found.empty()) refuse_with_nearest(given, words, keys, entries);
    std::string out;
    for (const Entry* entry : found) {
        const file::KeyInfo& info = *entry->key->info;
        out +=
            fmt::format("{}{}\n  {}\n", info.children.empty() ? entry->key->full_key : header_of(*entry->key),
                        info.unit.empty() ? "" : "  [" + info.unit + "]", info.help);
    }
    return out;
}

}  // namespace ampturn::plan::explain
