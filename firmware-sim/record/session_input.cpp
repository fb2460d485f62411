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

std::string_view name_of(Role role) {
    switch (role) {
        case Role::watcher:
            return "watcher";
        case Role::trainee:
            return "trainee";
        case Role::trainer:
            return "trainer";
    }
    return "?";
}

std::optional<Role> role_named(std::string_view name) {
    for (const Role role : {Role::watcher, Role::trainee, Role::trainer}) {
        if (name == name_of(role)) return role;
    }
    return std::nullopt;
}

}  // namespace ampturn::sim::record
