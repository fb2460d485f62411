#pragma once

#include <chrono>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "firmware-sim/host/course_desk.hpp"
#include "firmware-sim/host/pacer.hpp"
#include "firmware-sim/host/serve.hpp"
#include "firmware-sim/net/server.hpp"
#include "firmware-sim/record/session_log.hpp"
#include "firmware-sim/session/session.hpp"

namespace ampturn::sim::host {

/// Session, pacing and records, on a thread of their own. Sockets reach it through the request queue only. One session after
/// another where a course asks for it, each with a log of its own; clients stay.
class SimulationLoop {
  public:
    /// Makes the first session and its log; std::system_error when the log cannot be made. Keeps references.
    SimulationLoop(const ServeOptions& options, net::Server& server, net::RequestQueue& requests);

    /// Until the request queue says quit; then the unit is ramped down and the log closed.
    void run();

  private:
    using Clock = std::chrono::steady_clock;

    session::Session::Outputs outputs();
    std::unique_ptr<session::Session> new_session();
    void keep(const record::Record& record);
    void lose_log(const std::string& why);
    void advance(Clock::time_point now);
    void take_requests();
    void take(const record::SessionInput& request);
    void follow(const session::PaceRequest& wanted, const std::string& words);
    void begin(session::SessionSetup setup);
    void end_session(const std::string& why);
    void note_drill();
    void show();

    const ServeOptions& options_;
    net::Server& server_;
    net::RequestQueue& requests_;
    session::SessionSetup setup_;
    std::string log_path_;
    std::unique_ptr<record::SessionLog> log_;
    std::string log_lost_;  // why nothing is written any more
    bool clients_told_ = false, drill_noted_ = false;
    int sessions_ = 1;
    std::vector<std::pair<session::PaceRequest, std::string>> pace_requests_;
    std::map<record::ClientId, record::SessionInput> opened_;  // clients of the command language
    std::unique_ptr<session::Session> session_;
    Pacer pacer_;
};

}  // namespace ampturn::sim::host
