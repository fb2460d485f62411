#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "firmware-sim/net/client.hpp"
#include "firmware-sim/net/origin_policy.hpp"
#include "firmware-sim/net/request_queue.hpp"

namespace ampturn::sim::net {

struct ServerOptions {
    std::string address = "127.0.0.1";    // numeric
    std::uint16_t scpi_port = 5025;       // registered for scpi-raw; 0: any free port
    std::uint16_t panel_port = 8025;      // 0: any free port
    std::vector<std::string> host_names;  // further names the panel answers to
    std::string token;                    // makes a trainee of a watcher; empty: who comes is a trainee
    std::string trainer_token;            // makes a trainer
    bool serial = false;                  // offer a pseudo-terminal too
};

/// Limits of what clients can take. Ours; chosen so that a whole class fits and a careless
/// script does not exhaust the machine.
namespace limits {
inline constexpr std::size_t scpi_clients = 16;
inline constexpr std::size_t panel_clients = 32;
inline constexpr std::size_t http_header_bytes = 8'192;
inline constexpr std::size_t panel_message_bytes = 4'096;
inline constexpr std::size_t panel_outgoing_messages = 2000;
inline constexpr std::chrono::seconds http_idle{15};
inline constexpr std::chrono::seconds write_stall{10};
/// A panel says that it is there so often; silent for longer than a minute it is taken for gone.
inline constexpr std::chrono::seconds panel_silence{60};
/// When all places are taken, a client silent for longer than this makes room.
inline constexpr std::chrono::seconds silent_may_be_dropped{60};
}  // namespace limits

/// All sockets, on one thread (that of `io`). Talks to the simulation through the request queue only.
/// The constructor binds; it throws std::system_error with "address:port" when it cannot.
class Server {
  public:
    Server(boost::asio::io_context& io, RequestQueue& requests, const ServerOptions& options);
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    void start();
    std::uint16_t scpi_port() const { return scpi_acceptor_.local_endpoint().port(); }
    std::uint16_t panel_port() const { return panel_acceptor_.local_endpoint().port(); }
    /// Path of the pseudo-terminal, empty when there is none.
    const std::string& serial_path() const { return serial_path_; }

    // Any thread. `done`: the client's message is dealt with and it may send the next.
    void reply(record::ClientId client, std::string text, bool done);
    /// To one panel, or to all.
    void send_to_panel(record::ClientId client, std::shared_ptr<const std::string> message);
    void broadcast(std::shared_ptr<const std::string> message);
    void broadcast_to_trainers(std::shared_ptr<const std::string> message);
    /// The newest status of the unit, to all panels, by what they may see.
    void broadcast_state(std::shared_ptr<const std::string> for_trainees,
                         std::shared_ptr<const std::string> for_trainers);
    /// No new connections; what is queued for the clients is still sent.
    void stop_accepting();

    // Socket thread; used by the connections' coroutines.
    RequestQueue& requests() { return requests_; }
    const ServerOptions& options() const { return options_; }
    const OriginPolicy& origin_policy() const { return *origin_policy_; }
    /// Null when there is no place.
    std::shared_ptr<Client> admit(ClientKind kind, std::function<void()> close_socket);
    void remove_client(const std::shared_ptr<Client>& client);

  private:
    struct Entry {
        std::shared_ptr<Client> client;
        std::function<void()> close_socket;
    };
    void open_serial();
    void broadcast_to(std::shared_ptr<const std::string> message, bool trainers_only);
    std::size_t count(ClientKind kind) const;
    bool drop_silent(ClientKind kind);

    boost::asio::io_context& io_;
    RequestQueue& requests_;
    ServerOptions options_;
    boost::asio::ip::tcp::acceptor scpi_acceptor_, panel_acceptor_;
    std::unique_ptr<OriginPolicy> origin_policy_;
    std::map<record::ClientId, Entry> clients_;
    record::ClientId next_id_ = 1;
    int serial_file_ = -1, serial_far_end_ = -1;
    std::string serial_path_;
};

}  // namespace ampturn::sim::net
