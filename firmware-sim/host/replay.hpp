#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "firmware-sim/record/session_log.hpp"

namespace ampturn::sim::host {

/// The records of a session log that a person named. InputError where it is damaged inside; what was cut off at its end, or
/// that it was full, is in `damage`.
record::LogRead read_session_log(const std::string& path);
/// The same from text; `path` names it in messages.
record::LogRead session_log_of(std::string_view text, const std::string& path);

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
/// `debrief`, where given: what the session that was run again has to say of its drill, for the trainer.
ReplayResult replay(const std::string& log_path, nlohmann::json* debrief = nullptr);
/// The same of a log that has been read; `path` names it in messages.
ReplayResult replay_log(const record::LogRead& log, const std::string& path,
                        nlohmann::json* debrief = nullptr);

}  // namespace ampturn::sim::host
