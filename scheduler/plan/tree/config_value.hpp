#pragma once

#include <chrono>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "scheduler/base/input_error.hpp"

namespace ampturn::plan::tree {

/// A configuration file as a tree of values that remember where they stand, free of the parser's own types.

struct TimeOfDay {
    double seconds_from_midnight = 0;
};

struct Member;

struct Value {
    using List = std::vector<Value>;
    using Table = std::vector<Member>;  // in order of name
    std::variant<bool, std::int64_t, double, std::string, TimeOfDay, std::chrono::year_month_day, List, Table>
        data;
    base::Position position{};  // of the value
    std::string given_by{};     // flag the value came from ("--set"), empty: from the file
};

struct Member {
    std::string name;
    base::Position name_position;
    Value value;
};

/// Member of that name, or null.
const Value* find_member(const Value::Table& table, const std::string& name);

/// What a person sees when this value is not what was expected: "-3", "the text \"ten\"", "a list of 4".
std::string describe_found(const Value& value);

}  // namespace ampturn::plan::tree
