#include "firmware-sim/record/record_type.hpp"

#include <string>

#include "scheduler/run/names.hpp"

namespace ampturn::sim::record {

std::string_view name_of(RecordType type) {
    switch (type) {
        case RecordType::session:
            return "session";
        case RecordType::in:
            return "in";
        case RecordType::out:
            return "out";
        case RecordType::event:
            return "happening";
        case RecordType::core:
            return "core";
        case RecordType::measured:
            return "measured";
        case RecordType::line:
            return "line";
        case RecordType::pace:
            return "pace";
        case RecordType::drill:
            return "drill";
        case RecordType::full:
            return "full";
        case RecordType::end:
            return "end";
    }
    return "?";
}

std::optional<RecordType> type_of(const Record& record) {
    return run::value_named<RecordType>(record.value("what", std::string()),
                                        static_cast<std::size_t>(RecordType::end) + 1);
}

std::optional<core::RecordKind> core_kind_of(const Record& record) {
    if (type_of(record) != RecordType::core) return std::nullopt;
    return run::value_named<core::RecordKind>(record.value("event", std::string()), core::record_kind_count);
}

}  // namespace ampturn::sim::record
