#pragma once

#include <cstddef>
#include <string>

namespace ampturn::sim::host {

inline constexpr std::size_t session_log_bytes_max = 4'000'000'000;

struct ReplayResult {
    std::size_t records = 0;  // compared
    std::size_t inputs = 0;   // fed
    std::string damage;       // what was wrong with the log's end, if anything
    bool same = true;
    std::size_t line = 0;            // first that differs
    std::string recorded, replayed;  // that line, both ways; empty where one of the two has none
};

/// Feeds the inputs of a session log to a fresh core and plant and compares every record. plan::InputError
/// when the file is no session log.
ReplayResult replay(const std::string& log_path);

}  // namespace ampturn::sim::host
