#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace ampturn::sim::record {

using ClientId = std::uint32_t;

/// Who a client may be. Stopping is for everybody.
enum class Role {
    watcher,  ///< showed no token where one is asked for: looks, and may stop
    trainee,  ///< works the unit
    trainer  ///< showed the trainer's token: works it too, sets faults, paces time, sees what the drill is about
};

/// One input to a session: from a socket through the request queue, or from a log that is replayed.
struct SessionInput {
    enum class Kind {
        open,     ///< a client has come
        message,  ///< in the command language
        overrun,  ///< of the client's input buffer; `text` says more
        close,    ///< the client is gone
        panel,    ///< a message of a panel (JSON)
    };
    Kind kind = Kind::message;
    ClientId client = 0;
    std::string who;  // "tcp#3", "serial#1", "panel#2"
    Role role = Role::trainee;
    std::string text;
};

/// The name in the session log.
std::string_view name_of(SessionInput::Kind kind);
std::optional<SessionInput::Kind> input_kind_named(std::string_view name);
std::string_view name_of(Role role);
std::optional<Role> role_named(std::string_view name);

}  // namespace ampturn::sim::record
