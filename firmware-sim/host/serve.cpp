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
#include "scheduler/base/input_error.hpp"

namespace ampturn::sim::host {
namespace {

using Clock = std::chrono::steady_clock;
constexpr auto status_period = std::chrono::milliseconds(100);
constexpr auto slice = std::chrono::milliseconds(10);  // longest run between two looks at the requests

/// Session, pacing and records, on a thread of their own. Sockets reach it through the request queue only.
class SimulationLoop {
  public:
    SimulationLoop(const ServeOptions& options, net::Server& server, net::RequestQueue& requests)
        : server_(server),
          requests_(requests),
          log_path_(options.log_path),
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
        session_.close("SIGTERM");
        log_->sync();
        show();
    }

  private:
    session::Session::Outputs outputs() {
        session::Session::Outputs outputs;
        outputs.record = [this](const record::Record& record) {
            // Made with the first record, so that a plan that is refused leaves no empty log behind.
            if (!log_) log_ = std::make_unique<record::SessionLog>(log_path_);
            log_->append(record);
            if (record::core_kind_of(record) == core::RecordKind::trip) log_->sync();
        };
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
        outputs.pace = [this](const std::string& request) { pace_requests_.push_back(request); };
        return outputs;
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
        record::SessionInput request;
        // One round: a client has one message in the queue at most, so this ends.
        for (int taken = 0; taken < 256 && requests_.take(request); ++taken) {
            const core::Instant t = std::max(session_.now(), pacer_.at(Clock::now()));
            session_.take(t, request);
            if (request.kind == record::SessionInput::Kind::panel) server_.reply(request.client, {}, true);
            for (const std::string& pace : std::exchange(pace_requests_, {})) follow(pace);
        }
    }

    /// "pause", "resume", "speed 60", "speed max", "step 10".
    void follow(const std::string& request) {
        const Clock::time_point now = Clock::now();
        const std::size_t space = request.find(' ');
        const std::string word = request.substr(0, space);
        const std::string value = space == std::string::npos ? "" : request.substr(space + 1);
        try {
            if (word == "pause") {
                pacer_.pause(now);
            } else if (word == "resume") {
                pacer_.resume(now);
            } else if (word == "speed") {
                pacer_.set_speed(Pacer::parse_speed(value), now);
            } else if (word == "step") {
                double seconds = 0;
                std::from_chars(value.data(), value.data() + value.size(), seconds);
                if (!(seconds > 0 && seconds <= 3600)) return;
                const auto ticks = static_cast<std::uint64_t>(seconds * session_.clock_hz());
                const core::Instant to = std::max(session_.now(), pacer_.at(now)) + core::Ticks{ticks};
                session_.run_until(to);
                pacer_.anchor(to, Clock::now());
            } else {
                return;
            }
        } catch (const base::InputError&) {
            return;  // a panel asked for a speed there is none of: nothing changes
        }
        session_.note_pace(std::max(session_.now(), pacer_.at(now)), request);
    }

    void show() {
        const auto status_for = [this](record::Role role) {
            nlohmann::json status = session_.status_json(role);
            status["speed"] = pacer_.speed_text();
            status["paused"] = pacer_.paused();
            return std::make_shared<const std::string>(status.dump());
        };
        server_.broadcast_state(status_for(record::Role::trainee), status_for(record::Role::trainer));
    }

    net::Server& server_;
    net::RequestQueue& requests_;
    std::string log_path_;
    std::unique_ptr<record::SessionLog> log_;
    std::vector<std::string> pace_requests_;
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
    boost::asio::signal_set signals(io, SIGTERM, SIGINT);
    signals.async_wait([&](const boost::system::error_code& error, int) {
        if (!error) requests.quit();
    });
    server->start();

    const bool v6 = options.server.address.find(':') != std::string::npos;
    const std::string host = v6 ? "[" + options.server.address + "]" : options.server.address;
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
