#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace ampturn::model {

/// The values a quantity may have: lowest to highest; an end that is excluded may only be approached, an
/// infinite one is no limit. NaN is inside no range.
struct Range {
    double lowest = -std::numeric_limits<double>::infinity();
    double highest = std::numeric_limits<double>::infinity();
    bool lowest_excluded = false, highest_excluded = false;

    constexpr bool holds(double value) const {
        return (lowest_excluded ? value > lowest : value >= lowest) &&
               (highest_excluded ? value < highest : value <= highest);
    }
};
constexpr Range at_least(double lowest) { return {.lowest = lowest}; }
constexpr Range more_than(double lowest) { return {.lowest = lowest, .lowest_excluded = true}; }
constexpr Range at_most(double highest) { return {.highest = highest}; }

/// A value a model does not cover, as data: whoever set the model up finds out from these which key of a file
/// it came from. what() says the same in a line, for a programmer.
class RangeError : public std::invalid_argument {
  public:
    /// The value at `name`, in the model's own words ("layer.resistivity_ohm_m"); `index`, from 0, says which
    /// of several it is. `reason`: why the range is what it is, where the numbers alone don't tell.
    RangeError(std::string name, double value, const Range& allowed,
               std::optional<std::size_t> index = std::nullopt, std::string reason = {});
    /// What breaks a rule that no range of one number says: value() is NaN, and words say what was found.
    RangeError(std::string name, std::string found, std::string allowed,
               std::optional<std::size_t> index = std::nullopt);

    const std::string& name() const { return name_; }
    std::optional<std::size_t> index() const { return index_; }
    double value() const { return value_; }
    double lowest() const { return range_.lowest; }
    double highest() const { return range_.highest; }
    const Range& range() const { return range_; }
    const std::string& reason() const { return reason_; }

    /// The value, or what stands there instead, in words: "0.5".
    std::string found() const;
    /// What may stand there: "0.9 to 100", "more than 0", with the reason behind it.
    std::string allowed() const;

    /// The same as seen by what holds the named thing: `outer` and a dot before the name, `index` that of the
    /// holder when it is one of several.
    RangeError within(std::string_view outer) const;
    RangeError at(std::size_t index) const;

  private:
    RangeError(std::string name, std::optional<std::size_t> index, double value, const Range& range,
               std::string found, std::string reason);

    std::string name_;
    std::optional<std::size_t> index_;
    double value_;
    Range range_;
    std::string found_;
    std::string reason_;
};

/// Throws RangeError unless the value is in the range.
void check_range(double value, std::string_view name, const Range& allowed,
                 std::optional<std::size_t> index = std::nullopt, std::string_view reason = {});
/// Both ends included.
void check_range(double value, std::string_view name, double lowest, double highest,
                 std::optional<std::size_t> index = std::nullopt);

/// "0.9 to 100", "more than 0, at most 1", "at least 3".
std::string text_of(const Range& range);

}  // namespace ampturn::model
