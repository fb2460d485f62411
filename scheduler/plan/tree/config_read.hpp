#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/tree/config_value.hpp"

namespace ampturn::plan::tree {

/// Gathers what is wrong while a tree is read, so that a person sees all of it at once.
class Problems {
  public:
    explicit Problems(std::string file) : file_(std::move(file)) {}
    void add(const Value& value, const std::string& key, std::string found, std::string allowed);
    void add_at(base::Position position, const std::string& key, std::string found, std::string allowed);
    bool none() const { return problems_.empty(); }
    std::size_t count() const { return problems_.size(); }
    /// Throws InputError when there are any, in the order of the file.
    void throw_if_any() const;

  private:
    std::string file_;
    std::vector<base::InputProblem> problems_;
};

/// What a number may be. Infinity and NaN are never allowed.
struct NumberRange {
    std::string_view unit = "";  // shown only; empty for a pure number
    double min = -std::numeric_limits<double>::infinity();
    double max = std::numeric_limits<double>::infinity();
    bool min_excluded = false;

    bool holds(double value) const;
    std::string text() const;  // "above 0 to 1000 V", "0.001 to 1e+06 ohm m"
};

struct WholeRange {
    std::string_view unit = "";
    long long min = 0;
    long long max = std::numeric_limits<long long>::max();

    std::string text() const;
};

/// How many entries a list may have.
struct CountRange {
    std::size_t min = 0;
    std::size_t max = std::numeric_limits<std::size_t>::max();

    std::string text() const;  // "1 to 64"
};

/// Each returns nothing, and has added a problem, when the value will not do.
std::optional<double> read_number(const Value&, const std::string& key, const NumberRange&, Problems&);
std::optional<long long> read_whole(const Value&, const std::string& key, const WholeRange&, Problems&);
std::optional<std::string> read_text(const Value&, const std::string& key, std::size_t bytes_max, Problems&);
std::optional<bool> read_yes_no(const Value&, const std::string& key, Problems&);
std::optional<double> read_time_of_day(const Value&, const std::string& key, Problems&);
std::optional<std::chrono::year_month_day> read_date(const Value&, const std::string& key, Problems&);
/// Index of the word in `words`.
std::optional<std::size_t> read_word(const Value&, const std::string& key,
                                     const std::vector<std::string_view>& words, Problems&);
std::optional<std::array<double, 2>> read_point(const Value&, const std::string& key, const NumberRange&,
                                                Problems&);
/// The list itself if it is one and has an allowed count.
const Value::List* read_list(const Value&, const std::string& key, const CountRange&,
                             std::string_view of_what, Problems&);
const Value::Table* read_table(const Value&, const std::string& key, Problems&);

/// "08:30" or "08:30:15" to seconds from midnight; also for command-line flags. Nothing when it is neither.
std::optional<double> time_of_day_s(std::string_view text);

/// The nearest of `names` by edit distance (Levenshtein 1966), if near enough to be a slip of the hand.
std::optional<std::string> nearest_name(std::string_view name, const std::vector<std::string>& names);

/// TOML for a value; for a number: toml_number() of number_text.hpp.
std::string toml_text(std::string_view text);
std::string toml_time_of_day(double seconds_from_midnight);

}  // namespace ampturn::plan::tree
