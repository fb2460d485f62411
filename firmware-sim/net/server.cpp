#include "firmware-sim/net/server.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/post.hpp>
#include <cerrno>
#include <cstdlib>
#include <system_error>
#include <utility>

#include "firmware-sim/net/panel_connection.hpp"
#include "firmware-sim/net/reachable_addresses.hpp"
#include "firmware-sim/net/scpi_connection.hpp"

namespace ampturn::sim::net {

namespace asio = boost::asio;
using asio::ip::tcp;

namespace {

void listen_on(tcp::acceptor& acceptor, const std::string& address, std::uint16_t port) {
    boost::system::error_code error;
    const auto parsed = asio::ip::make_address(address, error);
    const auto check = [&] {
        if (error) throw std::system_error(error, fmt::format("{}:{}", address, port));
    };
    check();
    const tcp::endpoint endpoint(parsed, port);
    acceptor.open(endpoint.protocol(), error);
    check();
    // A port that a finished session left in TIME_WAIT can be used again; one that somebody listens on cannot.
    acceptor.set_option(asio::socket_base::reuse_address(true), error);
    acceptor.bind(endpoint, error);
    check();
    acceptor.listen(64, error);
    check();
}

}  // namespace

const char* name_of(ClientKind kind) {
    switch (kind) {
        case ClientKind::scpi:
            return "tcp";
        case ClientKind::serial:
            return "serial";
        case ClientKind::panel:
            return "panel";
    }
    return "?";
}

Server::Server(asio::io_context& io, RequestQueue& requests, const ServerOptions& options)
    : io_(io), requests_(requests), options_(options), scpi_acceptor_(io), panel_acceptor_(io) {
    listen_on(scpi_acceptor_, options_.address, options_.scpi_port);
    listen_on(panel_acceptor_, options_.address, options_.panel_port);
    std::vector<std::string> hosts = options_.host_names;
    for (std::string& address : reachable_addresses(options_.address)) hosts.push_back(std::move(address));
    if (is_loopback(reachable_addresses(options_.address).back()))
        hosts.insert(hosts.end(), {"localhost", "127.0.0.1", "::1"});
    origin_policy_ = std::make_unique<OriginPolicy>(std::move(hosts), panel_port());
    if (options_.serial) open_serial();
}

Server::~Server() {
    if (serial_far_end_ >= 0) ::close(serial_far_end_);
}

void Server::start() {
    asio::co_spawn(io_, accept_scpi(*this, scpi_acceptor_), asio::detached);
    asio::co_spawn(io_, accept_panel(*this, panel_acceptor_), asio::detached);
    if (serial_file_ >= 0) asio::co_spawn(io_, serve_serial(*this, io_, serial_file_), asio::detached);
}

void Server::open_serial() {
    const auto check = [](bool good) {
        if (!good) throw std::system_error(errno, std::generic_category(), "pseudo-terminal");
    };
    serial_file_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    check(serial_file_ >= 0);
    check(::grantpt(serial_file_) == 0 && ::unlockpt(serial_file_) == 0);
    std::array<char, 128> name{};
    check(::ptsname_r(serial_file_, name.data(), name.size()) == 0);
    serial_path_ = name.data();
    // Held open so that the line stays up between users; raw so that nothing is echoed or translated.
    serial_far_end_ = ::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    check(serial_far_end_ >= 0);
    termios settings{};
    check(::tcgetattr(serial_far_end_, &settings) == 0);
    ::cfmakeraw(&settings);
    check(::tcsetattr(serial_far_end_, TCSANOW, &settings) == 0);
}

std::size_t Server::count(ClientKind kind) const {
    return static_cast<std::size_t>(std::count_if(clients_.begin(), clients_.end(), [&](const auto& entry) {
        return entry.second.client->kind == kind && !entry.second.client->closing;
    }));
}

bool Server::drop_silent(ClientKind kind) {
    const auto limit = std::chrono::steady_clock::now() - limits::silent_may_be_dropped;
    const Entry* longest = nullptr;
    for (const auto& [id, entry] : clients_) {
        if (entry.client->kind != kind || entry.client->closing || entry.client->waits ||
            entry.client->last_heard > limit)
            continue;
        if (!longest || entry.client->last_heard < longest->client->last_heard) longest = &entry;
    }
    if (!longest) return false;
    longest->client->closing = true;
    longest->close_socket();
    return true;
}

std::shared_ptr<Client> Server::admit(ClientKind kind, std::function<void()> close_socket) {
    const std::size_t places = kind == ClientKind::panel ? limits::panel_clients : limits::scpi_clients;
    if (kind != ClientKind::serial && count(kind) >= places && !drop_silent(kind)) return nullptr;
    auto client = std::make_shared<Client>(io_.get_executor(), next_id_++, kind);
    client->role =
        options_.token.empty() || kind == ClientKind::serial ? record::Role::trainee : record::Role::watcher;
    clients_[client->id] = {client, std::move(close_socket)};
    requests_.submit(client->input(record::SessionInput::Kind::open));
    return client;
}

void Server::remove_client(const std::shared_ptr<Client>& client) {
    if (clients_.erase(client->id) == 0) return;
    client->closing = true;
    client->answered.cancel();
    client->outgoing_ready.cancel();
    requests_.submit(client->input(record::SessionInput::Kind::close));
}

void Server::reply(record::ClientId id, std::string text, bool done) {
    asio::post(io_, [this, id, text = std::move(text), done] {
        const auto found = clients_.find(id);
        if (found == clients_.end()) return;
        Client& client = *found->second.client;
        client.reply += text;
        client.done = client.done || done;
        client.answered.cancel();
    });
}

void Server::send_to_panel(record::ClientId id, std::shared_ptr<const std::string> message) {
    asio::post(io_, [this, id, message = std::move(message)] {
        const auto found = clients_.find(id);
        if (found == clients_.end()) return;
        Client& client = *found->second.client;
        if (client.outgoing.size() >= limits::panel_outgoing_messages) {
            client.closing = true;
            found->second.close_socket();
            return;
        }
        client.outgoing.push_back(message);
        client.outgoing_ready.cancel();
    });
}

void Server::broadcast(std::shared_ptr<const std::string> message) {
    broadcast_to(std::move(message), false);
}

void Server::broadcast_to_trainers(std::shared_ptr<const std::string> message) {
    broadcast_to(std::move(message), true);
}

void Server::broadcast_to(std::shared_ptr<const std::string> message, bool trainers_only) {
    asio::post(io_, [this, message = std::move(message), trainers_only] {
        for (auto& [id, entry] : clients_) {
            if (entry.client->kind != ClientKind::panel || entry.client->closing) continue;
            if (trainers_only && !entry.client->is_trainer()) continue;
            if (entry.client->outgoing.size() >= limits::panel_outgoing_messages) {
                entry.client->closing = true;
                entry.close_socket();
                continue;
            }
            entry.client->outgoing.push_back(message);
            entry.client->outgoing_ready.cancel();
        }
    });
}

void Server::broadcast_state(std::shared_ptr<const std::string> for_trainees,
                             std::shared_ptr<const std::string> for_trainers) {
    asio::post(io_, [this, for_trainees = std::move(for_trainees), for_trainers = std::move(for_trainers)] {
        for (auto& [id, entry] : clients_) {
            if (entry.client->kind != ClientKind::panel) continue;
            entry.client->status = entry.client->is_trainer() ? for_trainers : for_trainees;
            entry.client->outgoing_ready.cancel();
        }
    });
}

void Server::stop_accepting() {
    asio::post(io_, [this] {
        scpi_acceptor_.close();
        panel_acceptor_.close();
    });
}

}  // namespace ampturn::sim::net
