#include "firmware-sim/record/session_input.hpp"

#include "scheduler/run/names.hpp"

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
    return run::value_named<Kind>(name, static_cast<std::size_t>(Kind::panel) + 1);
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
    return run::value_named<Role>(name, static_cast<std::size_t>(Role::trainer) + 1);
}

}  // namespace ampturn::sim::record
