#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "firmware-sim/host/course_desk.hpp"
#include "firmware-sim/net/server.hpp"
#include "firmware-sim/session/session.hpp"

namespace ampturn::sim::host {

struct ServeOptions {
    session::SessionSetup setup;
    net::ServerOptions server;
    std::string log_path;
    std::uint64_t log_bytes_max = record::SessionLog::default_bytes_max;
    std::shared_ptr<CourseDesk> course;  // null: one session, no drills to choose from
    bool fixed_start = false;  // every session begins at setup.start_utc_s, else at the time of the day
    std::string speed = "1";
    bool paused = false;
};

/// Seconds since 1970 by the machine's clock: when a session begins unless somebody says otherwise.
std::int64_t system_utc_s();

/// Runs a session with sockets around it until SIGTERM, SIGINT or SIGHUP; then ramps the power stage down, closes the
/// log and returns. Prints where it listens, one line each ("scpi ADDRESS:PORT", "panel URL", "course URL", "serial PATH",
/// "log FILE"). Throws plan::InputError for what a person can mend.
void serve(const ServeOptions& options);

}  // namespace ampturn::sim::host
