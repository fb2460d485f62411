#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace ampturn::sim::record {

using ClientId = std::uint32_t;

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
    std::string who;      // "tcp#3", "serial#1", "panel#2"
    bool trusted = true;  // may change the unit's state: loopback, or showed the token
    std::string text;
};

/// The name in the session log.
std::string_view name_of(SessionInput::Kind kind);
std::optional<SessionInput::Kind> input_kind_named(std::string_view name);

}  // namespace ampturn::sim::record
