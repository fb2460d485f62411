#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/tree/config_read.hpp"
#include "scheduler/plan/tree/config_value.hpp"
#include "scheduler/plan/tree/former_names.hpp"

namespace ampturn::plan::file {

using namespace tree;

/// What every key tells a person: the reference pages, `explain` and the messages of the loader come from it.
struct KeyInfo {
    std::string name;  // last part of the key
    std::string type;  // "number", "text", "table", ...
    std::string unit;
    std::string allowed;
    std::string default_text;  // TOML; empty when there is no fixed default
    std::string when_absent;   // in words: what happens without it
    std::string help;
    std::string source;  // where default or rule come from
    bool required = false;
    bool repeated = false;  // [[table]]
    std::vector<KeyInfo> children;

    /// What holds without it, for people: "required", its default, or in words.
    std::string default_words() const {
        if (required) return "required";
        return when_absent.empty() ? default_text : when_absent;
    }
};

/// The words about a key, written beside its binding.
struct About {
    std::string_view help;
    std::string_view source = "";
    bool required = false;
    std::string_view when_absent = "";  // for keys without a fixed default
};

template <class Enum>
using Words = std::vector<std::pair<Enum, std::string_view>>;

template <class Enum>
std::string_view name_of(const Words<Enum>& words, Enum value) {
    for (const auto& [enumerator, word] : words)
        if (enumerator == value) return word;
    return "";
}

/// The keys of one table, each bound to a field of T. The field's initialiser is the key's default, so
/// default, reference and reading cannot disagree.
template <class T>
class Section {
  public:
    struct Key {
        KeyInfo info;
        // Reads the value into the field; a problem is added and the field left alone if it will not do.
        std::function<void(const Value&, const std::string& full_key, T&, Problems&)> read;
        // TOML of the field; empty when the key is better left out.
        std::function<std::string(const T&)> write;
        // Instead of write, for tables: whole tables with headers.
        std::function<std::string(const T&, const std::string& full_key)> write_tables;
    };
    using Check = std::function<void(const T&, const Value&, const std::string& full_key, Problems&)>;

    Section& number(std::string_view name, double T::*field, const NumberRange& range, const About& about) {
        return scalar(
            name, "number", range.unit, range.text(), about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return read_number(v, k, range, p);
            },
            [](double value) { return base::toml_number(value); });
    }
    Section& number(std::string_view name, std::optional<double> T::*field, const NumberRange& range,
                    const About& about) {
        return optional_scalar(
            name, "number", range.unit, range.text(), about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return read_number(v, k, range, p);
            },
            [](double value) { return base::toml_number(value); });
    }
    template <class Int>
    requires std::is_integral_v<Int> Section& whole(std::string_view name, Int T::*field,
                                                    const WholeRange& range, const About& about) {
        return scalar(
            name, "whole number", range.unit, range.text(), about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return cast<Int>(read_whole(v, k, range, p));
            },
            [](Int value) { return fmt::format("{}", value); });
    }
    Section& whole(std::string_view name, std::optional<int> T::*field, const WholeRange& range,
                   const About& about) {
        return optional_scalar(
            name, "whole number", range.unit, range.text(), about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return cast<int>(read_whole(v, k, range, p));
            },
            [](int value) { return fmt::format("{}", value); });
    }
    Section& text(std::string_view name, std::string T::*field, const About& about,
                  std::size_t bytes_max = 200) {
        return scalar(
            name, "text", "", fmt::format("at most {} bytes", bytes_max), about, field,
            [bytes_max](const Value& v, const std::string& k, Problems& p) {
                return read_text(v, k, bytes_max, p);
            },
            [](const std::string& value) { return value.empty() ? "" : toml_text(value); });
    }
    Section& yes_no(std::string_view name, bool T::*field, const About& about) {
        return scalar(name, "yes or no", "", "true or false", about, field, read_yes_no,
                      [](bool value) { return std::string(value ? "true" : "false"); });
    }
    Section& time_of_day(std::string_view name, double T::*field, const About& about) {
        return scalar(name, "time of day", "local time", "00:00:00 to 23:59:59, or \"HH:MM\"", about, field,
                      read_time_of_day, toml_time_of_day);
    }
    Section& time_of_day(std::string_view name, std::optional<double> T::*field, const About& about) {
        return optional_scalar(name, "time of day", "local time", "00:00:00 to 23:59:59, or \"HH:MM\"", about,
                               field, read_time_of_day, toml_time_of_day);
    }
    Section& date(std::string_view name, std::chrono::year_month_day T::*field, const About& about) {
        return scalar(name, "date", "", "for example 2030-05-17", about, field, read_date, base::date_text);
    }
    template <class Enum>
    Section& choice(std::string_view name, Enum T::*field, const Words<Enum>& words, const About& about) {
        return scalar(name, "word", "", allowed_words(words), about, field, word_reader(words),
                      [words](Enum value) { return toml_text(name_of(words, value)); });
    }
    /// One word that `read_one` makes a value of, or does not know; `forms` are all it knows, in quotes.
    template <class Field>
    Section& from_word(std::string_view name, Field T::*field, std::string_view forms,
                       std::optional<Field> (*read_one)(std::string_view),
                       std::string (*write_one)(const Field&), const About& about) {
        return scalar(
            name, "word", "", std::string(forms), about, field,
            [read_one, forms](const Value& v, const std::string& k, Problems& p) -> std::optional<Field> {
                const std::optional<std::string> word = read_text(v, k, 40, p);
                if (!word) return std::nullopt;
                std::optional<Field> value = read_one(*word);
                if (!value) p.add(v, k, toml_text(*word), std::string(forms));
                return value;
            },
            [write_one](const Field& value) { return toml_text(write_one(value)); });
    }
    template <class Enum>
    Section& choice(std::string_view name, std::optional<Enum> T::*field, const Words<Enum>& words,
                    const About& about) {
        return optional_scalar(name, "word", "", allowed_words(words), about, field, word_reader(words),
                               [words](Enum value) { return toml_text(name_of(words, value)); });
    }
    template <class Enum>
    Section& choices(std::string_view name, std::vector<Enum> T::*field, const Words<Enum>& words,
                     const CountRange& count, const About& about) {
        return list(name, "words", "", allowed_words(words), count, about, field, word_reader(words),
                    [words](Enum value) { return toml_text(name_of(words, value)); });
    }
    Section& numbers(std::string_view name, std::vector<double> T::*field, const NumberRange& range,
                     const CountRange& count, const About& about) {
        return list(
            name, "numbers", range.unit, range.text(), count, about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return read_number(v, k, range, p);
            },
            [](double value) { return base::toml_number(value); });
    }
    Section& wholes(std::string_view name, std::vector<int> T::*field, const WholeRange& range,
                    const CountRange& count, const About& about) {
        return list(
            name, "whole numbers", range.unit, range.text(), count, about, field,
            [range](const Value& v, const std::string& k, Problems& p) {
                return cast<int>(read_whole(v, k, range, p));
            },
            [](int value) { return fmt::format("{}", value); });
    }
    Section& texts(std::string_view name, std::vector<std::string> T::*field, const CountRange& count,
                   const About& about) {
        constexpr std::size_t bytes_max = 200;
        return list(
            name, "texts", "", fmt::format("at most {} bytes", bytes_max), count, about, field,
            [](const Value& v, const std::string& k, Problems& p) { return read_text(v, k, bytes_max, p); },
            [](const std::string& value) { return toml_text(value); });
    }
    Section& points(std::string_view name, std::vector<std::array<double, 2>> T::*field,
                    const NumberRange& range, const CountRange& count, const About& about) {
        return list(
            name, "pairs of numbers", range.unit, range.text(), count, about, field,
            [range](const Value& v, const std::string& k, Problems& p) { return read_point(v, k, range, p); },
            [](const std::array<double, 2>& point) {
                return fmt::format("[{}, {}]", base::toml_number(point[0]), base::toml_number(point[1]));
            });
    }
    template <class U>
    Section& table(std::string_view name, U T::*field, const Section<U>& section, const About& about);
    template <class U>
    Section& table(std::string_view name, std::optional<U> T::*field, const Section<U>& section,
                   const About& about);
    template <class U>
    Section& tables(std::string_view name, std::vector<U> T::*field, const Section<U>& section,
                    const CountRange& count, const About& about);

    /// A rule about several keys of the table; runs when each of them was fine by itself.
    Section& rule(Check check) {
        rules_.push_back(std::move(check));
        return *this;
    }

    /// Reads a table into `object`. Unknown keys and missing required keys are problems.
    void read(const Value& value, const std::string& full_key, T& object, Problems& problems) const;
    /// TOML of all keys that differ from `base`, then the nested tables; `full_key` empty for the root.
    std::string write(const T& object, const std::string& full_key, const T& base = T{}) const;
    std::vector<KeyInfo> infos() const;

  private:
    template <class Int>
    static std::optional<Int> cast(const std::optional<long long>& whole) {
        return whole ? std::optional(static_cast<Int>(*whole)) : std::nullopt;
    }
    template <class Enum>
    static std::vector<std::string_view> just_words(const Words<Enum>& words) {
        std::vector<std::string_view> names;
        for (const auto& entry : words) names.push_back(entry.second);
        return names;
    }
    template <class Enum>
    static std::string allowed_words(const Words<Enum>& words) {
        return fmt::format("\"{}\"", fmt::join(just_words(words), "\", \""));
    }
    template <class Enum>
    static auto word_reader(const Words<Enum>& words) {
        return [words, names = just_words(words)](const Value& v, const std::string& k,
                                                  Problems& p) -> std::optional<Enum> {
            const auto index = read_word(v, k, names, p);
            return index ? std::optional(words[*index].first) : std::nullopt;
        };
    }
    static KeyInfo info_of(std::string_view name, std::string_view type, std::string_view unit,
                           std::string allowed, const About& about) {
        KeyInfo info;
        info.name = name;
        info.type = type;
        info.unit = unit;
        info.allowed = std::move(allowed);
        info.when_absent = about.when_absent;
        info.help = about.help;
        info.source = about.source;
        info.required = about.required;
        return info;
    }
    template <class Field, class Read, class Write>
    Section& scalar(std::string_view name, std::string_view type, std::string_view unit, std::string allowed,
                    const About& about, Field T::*field, Read read_one, Write write_one) {
        KeyInfo info = info_of(name, type, unit, std::move(allowed), about);
        if (!info.required && info.when_absent.empty()) info.default_text = write_one(T{}.*field);
        keys_.push_back(
            {std::move(info),
             [field, read_one](const Value& v, const std::string& k, T& object, Problems& p) {
                 if (auto read = read_one(v, k, p)) object.*field = std::move(*read);
             },
             [field, write_one](const T& object) { return std::string(write_one(object.*field)); },
             {}});
        return *this;
    }
    template <class Field, class Read, class Write>
    Section& optional_scalar(std::string_view name, std::string_view type, std::string_view unit,
                             std::string allowed, const About& about, std::optional<Field> T::*field,
                             Read read_one, Write write_one) {
        keys_.push_back({info_of(name, type, unit, std::move(allowed), about),
                         [field, read_one](const Value& v, const std::string& k, T& object, Problems& p) {
                             if (auto read = read_one(v, k, p)) object.*field = std::move(*read);
                         },
                         [field, write_one](const T& object) {
                             return object.*field ? std::string(write_one(*(object.*field))) : std::string();
                         },
                         {}});
        return *this;
    }
    template <class Entry, class Read, class Write>
    Section& list(std::string_view name, std::string_view type, std::string_view unit, std::string allowed,
                  const CountRange& count, const About& about, std::vector<Entry> T::*field, Read read_one,
                  Write write_one) {
        KeyInfo info = info_of(name, fmt::format("list of {}", type), unit,
                               fmt::format("{} entries, each {}", count.text(), allowed), about);
        const auto write_list = [field, write_one](const T& object) {
            std::string text;
            for (const Entry& entry : object.*field)
                text += (text.empty() ? "" : ", ") + std::string(write_one(entry));
            return text.empty() ? text : "[" + text + "]";
        };
        if (!info.required && info.when_absent.empty()) info.default_text = write_list(T{});
        keys_.push_back({std::move(info),
                         [field, read_one, count, type = std::string(type)](
                             const Value& v, const std::string& k, T& object, Problems& p) {
                             const Value::List* values = read_list(v, k, count, type, p);
                             if (values == nullptr) return;
                             std::vector<Entry> entries;
                             for (std::size_t i = 0; i < values->size(); ++i)
                                 if (auto read = read_one((*values)[i], fmt::format("{}[{}]", k, i + 1), p))
                                     entries.push_back(std::move(*read));
                             object.*field = std::move(entries);
                         },
                         write_list,
                         {}});
        return *this;
    }

    std::vector<Key> keys_;
    std::vector<Check> rules_;
};

/// Whether a required key is there under the name it had once: then one problem says so, not two.
inline bool given_by_former_name(const Value::Table& table, std::string_view name) {
    return std::any_of(table.begin(), table.end(), [&](const Member& m) { return name_now(m.name) == name; });
}

template <class T>
void Section<T>::read(const Value& value, const std::string& full_key, T& object, Problems& problems) const {
    const Value::Table* table = read_table(value, full_key, problems);
    if (table == nullptr) return;
    const std::size_t problems_before = problems.count();
    const std::string prefix = full_key.empty() ? "" : full_key + ".";
    for (const Key& key : keys_) {
        if (const Value* member = find_member(*table, key.info.name))
            key.read(*member, prefix + key.info.name, object, problems);
        else if (key.info.required && !given_by_former_name(*table, key.info.name))
            problems.add(value, prefix + key.info.name, "nothing", key.info.allowed + " (required)");
    }
    for (const Member& member : *table) {
        std::vector<std::string> names;
        for (const Key& key : keys_) names.push_back(key.info.name);
        if (std::find(names.begin(), names.end(), member.name) != names.end()) continue;
        const auto now = name_now(member.name);
        const bool renamed = now && std::find(names.begin(), names.end(), *now) != names.end();
        const auto nearest = nearest_name(member.name, names);
        Value at = {.data = false, .position = member.name_position, .given_by = member.value.given_by};
        problems.add(at, prefix + member.name, "an unknown key",
                     renamed   ? fmt::format("\"{}{}\", its name now", prefix, *now)
                     : nearest ? fmt::format("the nearest known key \"{}\"", prefix + *nearest)
                     : full_key.empty()
                         ? fmt::format("{}; keys stand inside these: `ampturn explain WORD` finds them",
                                       fmt::join(names, ", "))
                         : fmt::format("{}", fmt::join(names, ", ")));
    }
    if (problems.count() == problems_before)
        for (const Check& check : rules_) check(object, value, full_key, problems);
}

template <class T>
std::string Section<T>::write(const T& object, const std::string& full_key, const T& base) const {
    std::string text;
    for (const Key& key : keys_)
        if (key.write) {
            const std::string toml = key.write(object);
            if (!toml.empty() && (key.info.required || toml != key.write(base)))
                text += fmt::format("{} = {}\n", key.info.name, toml);
        }
    for (const Key& key : keys_)
        if (key.write_tables)
            text +=
                key.write_tables(object, full_key.empty() ? key.info.name : full_key + "." + key.info.name);
    return text;
}

template <class T>
std::vector<KeyInfo> Section<T>::infos() const {
    std::vector<KeyInfo> infos;
    for (const Key& key : keys_) infos.push_back(key.info);
    return infos;
}

template <class T>
template <class U>
Section<T>& Section<T>::table(std::string_view name, U T::*field, const Section<U>& section,
                              const About& about) {
    KeyInfo info = info_of(name, "table", "", "a table", about);
    info.children = section.infos();
    keys_.push_back({std::move(info),
                     [field, section](const Value& v, const std::string& k, T& object, Problems& p) {
                         section.read(v, k, object.*field, p);
                     },
                     {},
                     [field, section](const T& object, const std::string& k) {
                         const std::string text = section.write(object.*field, k);
                         return text.empty() ? text : fmt::format("\n[{}]\n{}", k, text);
                     }});
    return *this;
}

template <class T>
template <class U>
Section<T>& Section<T>::table(std::string_view name, std::optional<U> T::*field, const Section<U>& section,
                              const About& about) {
    KeyInfo info = info_of(name, "table", "", "a table", about);
    info.children = section.infos();
    keys_.push_back({std::move(info),
                     [field, section](const Value& v, const std::string& k, T& object, Problems& p) {
                         section.read(v, k, (object.*field).emplace(), p);
                     },
                     {},
                     [field, section](const T& object, const std::string& k) {
                         return object.*field
                                    ? fmt::format("\n[{}]\n{}", k, section.write(*(object.*field), k))
                                    : std::string();
                     }});
    return *this;
}

template <class T>
template <class U>
Section<T>& Section<T>::tables(std::string_view name, std::vector<U> T::*field, const Section<U>& section,
                               const CountRange& count, const About& about) {
    KeyInfo info = info_of(name, "list of tables", "", fmt::format("{} of them", count.text()), about);
    info.repeated = true;
    info.children = section.infos();
    keys_.push_back({std::move(info),
                     [field, section, count](const Value& v, const std::string& k, T& object, Problems& p) {
                         const Value::List* values = read_list(v, k, count, "tables", p);
                         if (values == nullptr) return;
                         std::vector<U> entries(values->size());
                         for (std::size_t i = 0; i < values->size(); ++i)
                             section.read((*values)[i], fmt::format("{}[{}]", k, i + 1), entries[i], p);
                         object.*field = std::move(entries);
                     },
                     {},
                     [field, section](const T& object, const std::string& k) {
                         std::string text;
                         for (const U& entry : object.*field)
                             text += fmt::format("\n[[{}]]\n{}", k, section.write(entry, k));
                         return text;
                     }});
    return *this;
}

}  // namespace ampturn::plan::file
