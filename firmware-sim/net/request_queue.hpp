#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <string>

#include "firmware-sim/record/session_input.hpp"

namespace ampturn::sim::net {

/// Where the socket thread leaves requests and the simulation's thread takes them. A client has at most one
/// message in the queue (it waits for the "done" of the last before it reads on), so the length is bounded by
/// the number of clients, and a flooding client gets one turn like everybody else.
class RequestQueue {
  public:
    /// Any thread.
    void submit(record::SessionInput request);
    /// `why`: for the record, "SIGTERM".
    void quit(std::string why);
    std::string why_quit();

    /// Simulation's thread: waits until a request is there, quit() was called or `until` has come.
    enum class WakeReason { request, quit, time };
    WakeReason wait_until(std::chrono::steady_clock::time_point until);
    /// The oldest request; false when there is none.
    bool take(record::SessionInput& request);

  private:
    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<record::SessionInput> requests_;
    bool quit_ = false;
    std::string why_quit_;
};

}  // namespace ampturn::sim::net
