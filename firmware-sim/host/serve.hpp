#pragma once

#include <string>

#include "firmware-sim/net/server.hpp"
#include "firmware-sim/session/session.hpp"

namespace ampturn::sim::host {

struct ServeOptions {
    session::SessionSetup setup;
    net::ServerOptions server;
    std::string log_path;
    std::uint64_t log_bytes_max = record::SessionLog::default_bytes_max;
    std::string speed = "1";
    bool paused = false;
};

/// Runs a session with sockets around it until SIGTERM, SIGINT or SIGHUP; then ramps the power stage down, closes the
/// log and returns. Prints where it listens, one line each ("scpi ADDRESS:PORT", "panel URL", "serial PATH",
/// "log FILE"). Throws plan::InputError for what a person can mend.
void serve(const ServeOptions& options);

}  // namespace ampturn::sim::host
