#include "scheduler/plan/tree/config_value.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ampturn::plan::tree {

const Value* find_member(const Value::Table& table, const std::string& name) {
    const auto found =
        std::find_if(table.begin(), table.end(), [&](const Member& member) { return member.name == name; });
    return found == table.end() ? nullptr : &found->value;
}

namespace {

struct Describe {
    std::string operator()(bool value) const { return value ? "true" : "false"; }
    std::string operator()(std::int64_t value) const { return fmt::format("{}", value); }
    std::string operator()(double value) const { return fmt::format("{}", value); }
    std::string operator()(const std::string& value) const {
        constexpr std::size_t shown_max = 60;  // a whole pasted paragraph would hide the message
        if (value.size() <= shown_max) return fmt::format("the text \"{}\"", value);
        return fmt::format("a text of {} bytes", value.size());
    }
    std::string operator()(const TimeOfDay&) const { return "a time of day"; }
    std::string operator()(const std::chrono::year_month_day&) const { return "a date"; }
    std::string operator()(const Value::List& value) const {
        return fmt::format("a list of {}", value.size());
    }
    std::string operator()(const Value::Table&) const { return "a table"; }
};

}  // namespace

std::string describe_found(const Value& value) { return std::visit(Describe{}, value.data); }

}  // namespace ampturn::plan::tree
