#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::base {

/// Some of a numbered whole that is worked on in parts: runs of a day, grounds of a list.
struct PartRange {
    int first = 0;  // so many come before it
    int count = 0;
};

/// Throws the InputError about a line of a part, or about the whole of it (line 0).
[[noreturn]] void refuse_part(const std::string& file, int line, const std::string& found,
                              const std::string& allowed);

/// A line of a part. InputError at `line` of `file` where it is nested too deep, nlohmann's parse_error where it is no JSON.
nlohmann::ordered_json json_of_part(std::string_view text, const std::string& file, int line);

/// A whole number that a part says of itself, from 0 to `most`. InputError at `line` of `file` when it is none.
std::uint64_t whole_of_part(const nlohmann::ordered_json& value, const std::string& file, int line,
                            std::uint64_t most = std::numeric_limits<std::uint64_t>::max());

/// The same of `first`, `count` or `total`: up to what any list or number of runs has.
int number_of_part(const nlohmann::ordered_json& value, const std::string& file, int line);

/// "FIRST:COUNT", count at least 1 and all below `most`; InputError at `flag` otherwise, with `allowed` in it.
PartRange parse_part_range(const std::string& text, const std::string& flag, int most,
                           const std::string& allowed);

/// InputError at `line` of `file` unless a part says that it was made by this version of the program, built from this commit.
void check_made_by_this_build(const std::string& version, const std::string& git, const std::string& file,
                              int line);

/// A part as it was found.
struct PartFound {
    std::string file;
    PartRange range;
    int held;  // entries from the first on; fewer than the count where the part died
};

/// What the entries of a whole are called, and how people count them.
struct PartWords {
    const char* entries;  // "runs"
    int first_number;     // of the first entry: 0 or 1
};

/// Indices of the parts in the order of their entries. InputError where a part is short (it is named with what it lacks), where an
/// entry is in no part or in two, or where there are not `total` of them (0: as many as the parts were to hold).
std::vector<std::size_t> parts_in_order(const std::vector<PartFound>& parts, PartWords words, int total);

}  // namespace ampturn::base
