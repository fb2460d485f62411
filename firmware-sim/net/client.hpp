#pragma once

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <deque>
#include <memory>
#include <string>
#include <utility>

#include "firmware-sim/net/request_queue.hpp"
#include "firmware-sim/net/throttle.hpp"

namespace ampturn::sim::net {

enum class ClientKind { scpi, serial, panel };
/// How logs and messages call clients of the kind: "tcp", "serial", "panel".
const char* name_of(ClientKind kind);

/// A connection as the socket thread sees it. Only that thread touches it.
struct Client {
    Client(const boost::asio::any_io_executor& executor, record::ClientId client_id, ClientKind client_kind)
        : id(client_id),
          kind(client_kind),
          throttle(client_kind == ClientKind::panel ? Throttle(100, 50) : Throttle(5000, 2000)),
          answered(executor),
          outgoing_ready(executor) {
        answered.expires_at(std::chrono::steady_clock::time_point::max());
        outgoing_ready.expires_at(std::chrono::steady_clock::time_point::max());
    }

    const record::ClientId id;
    const ClientKind kind;
    record::Role role = record::Role::trainee;
    bool closing = false;
    bool waits = false;  // for an answer: not idle, however long that takes
    Throttle throttle;

    /// "tcp#3"
    std::string who() const { return name_of(kind) + ("#" + std::to_string(id)); }
    record::SessionInput input(record::SessionInput::Kind input_kind, std::string text = {}) const {
        return {input_kind, id, who(), role, std::move(text)};
    }

    // Command language: the answer to the message in the queue.
    bool done = false;
    std::string reply;
    boost::asio::steady_timer answered;  // cancelled to wake the waiting coroutine

    // Panel: messages to be written, and the newest status of the unit (an older unsent one is replaced).
    std::deque<std::shared_ptr<const std::string>> outgoing;
    std::shared_ptr<const std::string> status;
    bool is_trainer() const { return role == record::Role::trainer; }
    boost::asio::steady_timer outgoing_ready;

    std::chrono::steady_clock::time_point last_heard = std::chrono::steady_clock::now();
};

}  // namespace ampturn::sim::net
