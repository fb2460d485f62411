#pragma once

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <deque>
#include <memory>
#include <string>

#include "firmware-sim/net/desk.hpp"

namespace ampturn::sim {

/// A connection as the socket thread sees it. Only that thread touches it.
struct Client {
    Client(const boost::asio::any_io_executor& executor, ClientId client_id, ClientKind client_kind)
        : id(client_id), kind(client_kind), answered(executor), outgoing_ready(executor) {
        answered.expires_at(std::chrono::steady_clock::time_point::max());
        outgoing_ready.expires_at(std::chrono::steady_clock::time_point::max());
    }

    const ClientId id;
    const ClientKind kind;
    bool trusted = true;
    bool closing = false;

    // Command language: the answer to the message on the desk.
    bool done = false;
    std::string reply;
    boost::asio::steady_timer answered;  // cancelled to wake the waiting coroutine

    // Panel: messages to be written, and the newest picture of the unit (an older unsent one is replaced).
    std::deque<std::shared_ptr<const std::string>> outgoing;
    std::shared_ptr<const std::string> picture;
    boost::asio::steady_timer outgoing_ready;

    std::chrono::steady_clock::time_point last_heard = std::chrono::steady_clock::now();
};

}  // namespace ampturn::sim
