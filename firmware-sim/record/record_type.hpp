#pragma once

#include <optional>
#include <string_view>

#include "firmware-sim/record/session_log.hpp"
#include "scheduler/core/records.hpp"

namespace ampturn::sim::record {

/// What a record of the session log is about: its "what".
enum class RecordType {
    session,   ///< the first: all that is needed for a replay
    in,        ///< an input to the session
    out,       ///< an answer to a client
    event,     ///< something happened at the site or in the drill
    core,      ///< a record of the core
    measured,  ///< readings
    line,      ///< a step of the table as it was sent
    pace,      ///< how time is paced
    drill,     ///< the drill is over
    full,      ///< the log has reached its quota: the last of the log, not of the session
    end,       ///< the last
};

std::string_view name_of(RecordType type);
/// Nothing when the record is of a type this program does not write.
std::optional<RecordType> type_of(const Record& record);
/// Which record of the core a log's record holds; nothing for all others.
std::optional<core::RecordKind> core_kind_of(const Record& record);

}  // namespace ampturn::sim::record
