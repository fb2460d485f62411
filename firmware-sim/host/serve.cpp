#include "firmware-sim/host/serve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <memory>
#include <system_error>
#include <thread>
#include <utility>

#include "firmware-sim/host/pacer.hpp"
#include "firmware-sim/net/reachable_addresses.hpp"
#include "scheduler/base/input_error.hpp"

namespace ampturn::sim::host {
namespace {

using Clock = std::chrono::steady_clock;
constexpr auto status_period = std::chrono::milliseconds(100);
constexpr auto slice = std::chrono::milliseconds(10);  // longest run between two looks at the requests

void say_on_error(const std::string& line) { std::fputs(("ampturn-sim: " + line + "\n").c_str(), stderr); }

/// Session, pacing and records, on a thread of their own. Sockets reach it through the request queue only.
class SimulationLoop {
  public:
    SimulationLoop(const ServeOptions& options, net::Server& server, net::RequestQueue& requests)
        : server_(server),
          requests_(requests),
          log_path_(options.log_path),
          log_bytes_max_(options.log_bytes_max),
          session_(options.setup, options.server.token, outputs()),
          pacer_(session_.clock_hz(), Pacer::parse_speed(options.speed), Clock::now()) {
        if (options.paused) pacer_.pause(Clock::now());
    }

    void run() {
        Clock::time_point next_status = Clock::now();
        while (true) {
            const Clock::time_point now = Clock::now();
            advance(now);
            take_requests();
            if (now >= next_status) {
                show();
                next_status = now + status_period;
            }
            const bool more = pacer_.is_unpaced() && !pacer_.paused() && session_.busy();
            const Clock::time_point until =
                more ? Clock::now() : std::min(next_status, pacer_.wall_of(session_.next_due()));
            if (requests_.wait_until(until) == net::RequestQueue::WakeReason::quit) break;
        }
        session_.close(requests_.why_quit());
        if (log_) log_->sync();
        show();
    }

  private:
    session::Session::Outputs outputs() {
        session::Session::Outputs outputs;
        outputs.record = [this](const record::Record& record) { keep(record); };
        outputs.answer = [this](record::ClientId client, const std::string& text, bool done) {
            server_.reply(client, text, done);
        };
        outputs.send_to_panel = [this](record::ClientId client, const std::string& json) {
            server_.send_to_panel(client, std::make_shared<const std::string>(json));
        };
        outputs.broadcast = [this](const std::string& json) {
            server_.broadcast(std::make_shared<const std::string>(json));
        };
        outputs.broadcast_to_trainers = [this](const std::string& json) {
            server_.broadcast_to_trainers(std::make_shared<const std::string>(json));
        };
        outputs.pace = [this](const session::PaceRequest& wanted, const std::string& words) {
            pace_requests_.emplace_back(wanted, words);
        };
        return outputs;
    }

    /// Into the log. A session whose log cannot go on runs on without: nobody is to be left at a live loop by a full disc.
    void keep(const record::Record& record) {
        if (!log_lost_.empty()) return;
        // Made with the first record, so that a plan that is refused leaves no empty log behind.
        if (!log_) log_ = std::make_unique<record::SessionLog>(log_path_, log_bytes_max_);
        try {
            if (!log_->append(record))
                log_lost_ = fmt::format("log full at {} bytes", log_bytes_max_);
            else if (record::core_kind_of(record) == core::RecordKind::trip)
                log_->sync();
        } catch (const std::system_error& error) {
            log_lost_ = fmt::format("log cannot be written: {}", error.code().message());
        }
        if (!log_lost_.empty()) say_on_error(log_lost_ + "; the session runs on without");
    }

    void advance(Clock::time_point now) {
        if (pacer_.paused()) return;
        if (!pacer_.is_unpaced()) {
            session_.run_until(pacer_.at(now));
            return;
        }
        while (session_.busy() && Clock::now() < now + slice) session_.run_until(session_.next_due());
        pacer_.anchor(session_.now(), now);
    }

    void take_requests() {
        if (!log_lost_.empty() && !std::exchange(clients_told_, true)) session_.note_log_lost(log_lost_);
        record::SessionInput request;
        // One round: a client has one message in the queue at most, so this ends.
        for (int taken = 0; taken < 256 && requests_.take(request); ++taken) {
            const core::Instant t = std::max(session_.now(), pacer_.at(Clock::now()));
            session_.take(t, request);
            if (request.kind == record::SessionInput::Kind::panel) server_.reply(request.client, {}, true);
            for (const auto& [wanted, words] : std::exchange(pace_requests_, {})) follow(wanted, words);
        }
    }

    void follow(const session::PaceRequest& wanted, const std::string& words) {
        using Kind = session::PaceRequest::Kind;
        const Clock::time_point now = Clock::now();
        switch (wanted.kind) {
            case Kind::pause:
                pacer_.pause(now);
                break;
            case Kind::resume:
                pacer_.resume(now);
                break;
            case Kind::speed:
                pacer_.set_speed(wanted.value, now);
                break;
            case Kind::unpaced:
                pacer_.set_speed(Pacer::unpaced, now);
                break;
            case Kind::step: {
                const auto ticks = static_cast<std::uint64_t>(wanted.value * session_.clock_hz());
                const core::Instant to = std::max(session_.now(), pacer_.at(now)) + core::Ticks{ticks};
                session_.run_until(to);
                pacer_.anchor(to, Clock::now());
                break;
            }
        }
        session_.note_pace(std::max(session_.now(), pacer_.at(now)), words);
    }

    void show() {
        const auto status_for = [this](record::Role role) {
            nlohmann::json status = session_.status_json(role);
            status["speed"] = pacer_.speed_text();
            status["paused"] = pacer_.paused();
            if (!log_lost_.empty()) status["log_lost"] = log_lost_;
            return std::make_shared<const std::string>(status.dump());
        };
        server_.broadcast_state(status_for(record::Role::trainee), status_for(record::Role::trainer));
    }

    net::Server& server_;
    net::RequestQueue& requests_;
    std::string log_path_;
    std::uint64_t log_bytes_max_;
    std::unique_ptr<record::SessionLog> log_;
    std::string log_lost_;  // why nothing is written any more
    bool clients_told_ = false;
    std::vector<std::pair<session::PaceRequest, std::string>> pace_requests_;
    session::Session session_;
    Pacer pacer_;
};

void say(const std::string& line) {
    std::fputs((line + "\n").c_str(), stdout);
    std::fflush(stdout);
}

}  // namespace

void serve(const ServeOptions& options) {
    Pacer::parse_speed(options.speed);
    boost::asio::io_context io(1);
    net::RequestQueue requests;
    std::unique_ptr<net::Server> server;
    try {
        server = std::make_unique<net::Server>(io, requests, options.server);
    } catch (const std::system_error& error) {
        // what() of a system_error is "address:port: reason"
        throw base::InputError(
            {.file = {},
             .position = {},
             .key = "listen",
             .found = error.what(),
             .allowed = "an address of this machine and a free port (--scpi-port, --panel-port)"});
    }
    const auto log_trouble = [&](const std::system_error& error) {
        return base::InputError({.file = "--log",
                                 .position = {},
                                 .key = {},
                                 .found = error.what(),
                                 .allowed = "a new file in a folder that can be written, with space left"});
    };
    std::unique_ptr<SimulationLoop> simulation;
    try {
        simulation = std::make_unique<SimulationLoop>(options, *server, requests);
    } catch (const std::system_error& error) {
        throw log_trouble(error);
    }
    boost::asio::signal_set signals(io, SIGTERM, SIGINT, SIGHUP);
    signals.async_wait([&](const boost::system::error_code& error, int sign) {
        if (!error) requests.quit(sign == SIGINT ? "SIGINT" : sign == SIGHUP ? "SIGHUP" : "SIGTERM");
    });
    server->start();

    // Of all addresses of the machine, one that others can reach.
    const std::vector<std::string> reachable = net::reachable_addresses(options.server.address);
    const std::string& address = reachable.front();
    const std::string host = address.find(':') != std::string::npos ? "[" + address + "]" : address;
    const std::string query = options.server.token.empty() ? "" : "?token=" + options.server.token;
    say(fmt::format("scpi {}:{}", host, server->scpi_port()));
    say(fmt::format("panel http://{}:{}/{}", host, server->panel_port(), query));
    say(fmt::format("instructor http://{}:{}/instructor?token={}", host, server->panel_port(),
                    options.server.trainer_token));
    if (!server->serial_path().empty()) say("serial " + server->serial_path());
    say("log " + options.log_path);

    auto work = boost::asio::make_work_guard(io);
    std::thread sockets([&io] { io.run(); });
    std::exception_ptr trouble;
    try {
        simulation->run();
    } catch (...) {
        trouble = std::current_exception();
    }
    server->stop_accepting();
    // What is queued for the clients goes out; nobody can hold the end up for longer than this.
    std::this_thread::sleep_for(std::chrono::milliseconds(200));
    io.stop();
    sockets.join();
    if (trouble) {
        try {
            std::rethrow_exception(trouble);
        } catch (const std::system_error& error) {
            throw log_trouble(error);
        }
    }
    say("closed");
}

}  // namespace ampturn::sim::host
