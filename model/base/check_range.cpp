#include "model/base/check_range.hpp"

#include <cmath>
#include <locale>
#include <sstream>
#include <utility>

namespace ampturn::model {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

std::string text_of(double value) {
    std::ostringstream text;
    text.imbue(std::locale::classic());
    text.precision(12);
    text << value;
    return text.str();
}

std::string line_of(const std::string& name, std::optional<std::size_t> index, double value,
                    const std::string& found, const Range& range, const std::string& reason) {
    std::string line = name;
    if (index) line += " (number " + std::to_string(*index + 1) + ")";
    line += ' ' + (std::isnan(value) && !found.empty() ? found : text_of(value)) + ": allowed ";
    const std::string words = text_of(range);
    return line + words + (words.empty() || reason.empty() ? "" : ": ") + reason;
}

}  // namespace

std::string text_of(const Range& range) {
    const bool below = range.lowest > -infinity, above = range.highest < infinity;
    if (below && above && range.lowest == range.highest) return text_of(range.lowest);
    if (below && above && !range.lowest_excluded && !range.highest_excluded)
        return text_of(range.lowest) + " to " + text_of(range.highest);
    std::string text;
    if (below) text = (range.lowest_excluded ? "more than " : "at least ") + text_of(range.lowest);
    if (below && above) text += ", ";
    if (above) text += (range.highest_excluded ? "less than " : "at most ") + text_of(range.highest);
    return text;
}

RangeError::RangeError(std::string name, std::optional<std::size_t> index, double value, const Range& range,
                       std::string found, std::string reason)
    : std::invalid_argument(line_of(name, index, value, found, range, reason)),
      name_(std::move(name)),
      index_(index),
      value_(value),
      range_(range),
      found_(std::move(found)),
      reason_(std::move(reason)) {}

RangeError::RangeError(std::string name, double value, const Range& allowed, std::optional<std::size_t> index,
                       std::string reason)
    : RangeError(std::move(name), index, value, allowed, std::string(), std::move(reason)) {}

RangeError::RangeError(std::string name, std::string found, std::string allowed,
                       std::optional<std::size_t> index)
    : RangeError(std::move(name), index, std::numeric_limits<double>::quiet_NaN(), Range{}, std::move(found),
                 std::move(allowed)) {}

std::string RangeError::found() const { return found_.empty() ? text_of(value_) : found_; }

std::string RangeError::allowed() const {
    const std::string range = text_of(range_);
    return range + (range.empty() || reason_.empty() ? "" : ": ") + reason_;
}

RangeError RangeError::within(std::string_view outer) const {
    return {std::string(outer) + '.' + name_, index_, value_, range_, found_, reason_};
}

RangeError RangeError::at(std::size_t index) const { return {name_, index, value_, range_, found_, reason_}; }

void check_range(double value, std::string_view name, const Range& allowed, std::optional<std::size_t> index,
                 std::string_view reason) {
    if (!allowed.holds(value))
        throw RangeError(std::string(name), value, allowed, index, std::string(reason));
}

void check_range(double value, std::string_view name, double lowest, double highest,
                 std::optional<std::size_t> index) {
    check_range(value, name, Range{.lowest = lowest, .highest = highest}, index);
}

}  // namespace ampturn::model
