#include "firmware-sim/record/session_input.hpp"

namespace ampturn::sim::record {

using Kind = SessionInput::Kind;

std::string_view name_of(Kind kind) {
    switch (kind) {
        case Kind::open:
            return "open";
        case Kind::message:
            return "message";
        case Kind::overrun:
            return "overrun";
        case Kind::close:
            return "close";
        case Kind::panel:
            return "panel";
    }
    return "?";
}

std::optional<Kind> input_kind_named(std::string_view name) {
    for (const Kind kind : {Kind::open, Kind::message, Kind::overrun, Kind::close, Kind::panel}) {
        if (name == name_of(kind)) return kind;
    }
    return std::nullopt;
}

}  // namespace ampturn::sim::record
