#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <string>

namespace ampturn::sim {

using ClientId = std::uint32_t;

enum class ClientKind { scpi, serial, panel };

/// What a socket asks of the core.
struct Request {
    enum class Kind { open, message, overrun, close };
    ClientId client = 0;
    ClientKind client_kind = ClientKind::scpi;
    Kind kind = Kind::message;
    bool trusted = true;  // may change the unit's state: loopback, or showed the token
    std::string text;
};

/// Where the socket thread leaves requests and the core thread takes them. A client has at most one message
/// on the desk (it waits for the core's "done" before it reads on), so the length is bounded by the number of
/// clients, and a flooding client gets one turn like everybody else.
class Desk {
  public:
    /// Any thread.
    void submit(Request request);
    void quit();

    /// Core thread: waits until a request is there, quit() was called or `until` has come.
    enum class Woken { request, quit, time };
    Woken wait_until(std::chrono::steady_clock::time_point until);
    /// The oldest request; false when there is none.
    bool take(Request& request);

  private:
    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<Request> requests_;
    bool quit_ = false;
};

}  // namespace ampturn::sim
