#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/base/part_range.hpp"

namespace ampturn::field_request {

/// Grounds of a file, or a part of them: JSON lines, a ground a line in the spelling of a request's `model`, perhaps with a `name`.
struct GroundList {
    std::vector<model::ground::LayeredEarth> grounds;
    std::vector<std::string> names;  // one a ground: its own, or its line's number
    base::PartRange range;           // which lines these are; grounds are numbered as lines, from 1
    int total = 0;                   // of the file
    std::uint32_t crc32 = 0;         // of the file's bytes
};

/// At most so many lines.
inline constexpr int grounds_max = 100'000'000;

/// Reads the whole list, or the lines of `part` ("FIRST:COUNT", FIRST lines come before them); what is wrong on other lines is not
/// looked for. `flag` is what the part was given with. InputError with line and column; for an empty line, for no line, for a part
/// that goes beyond the list.
GroundList read_grounds(const std::string& text, const std::string& file, const std::string& part,
                        const std::string& flag);

}  // namespace ampturn::field_request
