#include "firmware-sim/host/simulation_loop.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <optional>
#include <system_error>

#include "scheduler/base/input_error.hpp"

namespace ampturn::sim::host {

namespace {

constexpr auto status_period = std::chrono::milliseconds(100);
constexpr auto slice = std::chrono::milliseconds(10);  // longest run between two looks at the requests

void say_on_error(const std::string& line) { std::fputs(("ampturn-sim: " + line + "\n").c_str(), stderr); }

/// "name.jsonl", "name-2.jsonl", ...: the next that is not there yet.
std::string next_log_path(const std::string& first, int& number) {
    const std::filesystem::path path(first);
    while (true) {
        const std::string name =
            fmt::format("{}-{}{}", path.stem().string(), ++number, path.extension().string());
        std::string next = (path.parent_path() / name).string();
        if (!std::filesystem::exists(next)) return next;
    }
}

}  // namespace

SimulationLoop::SimulationLoop(const ServeOptions& options, net::Server& server, net::RequestQueue& requests)
    : options_(options),
      server_(server),
      requests_(requests),
      setup_(options.setup),
      log_path_(options.log_path),
      session_(new_session()),
      pacer_(session_->clock_hz(), Pacer::parse_speed(options.speed), Clock::now()) {
    if (options.paused) pacer_.pause(Clock::now());
}

std::unique_ptr<session::Session> SimulationLoop::new_session() {
    return std::make_unique<session::Session>(setup_, options_.server.token, outputs());
}

void SimulationLoop::run() {
    Clock::time_point next_status = Clock::now();
    while (true) {
        const Clock::time_point now = Clock::now();
        advance(now);
        take_requests();
        note_drill();
        if (now >= next_status) {
            show();
            next_status = now + status_period;
        }
        const bool more = pacer_.is_unpaced() && !pacer_.paused() && session_->busy();
        const Clock::time_point until =
            more ? Clock::now() : std::min(next_status, pacer_.wall_of(session_->next_due()));
        if (requests_.wait_until(until) == net::RequestQueue::WakeReason::quit) break;
    }
    end_session(requests_.why_quit());
    show();
}

session::Session::Outputs SimulationLoop::outputs() {
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
void SimulationLoop::keep(const record::Record& record) {
    if (!log_lost_.empty()) return;
    // Made with the first record, so that a plan that is refused leaves no empty log behind.
    if (!log_) {
        try {
            log_ = std::make_unique<record::SessionLog>(log_path_, options_.log_bytes_max);
        } catch (const std::system_error& error) {
            if (sessions_ == 1) throw;
            return lose_log(fmt::format("log cannot be made: {}", error.code().message()));
        }
    }
    try {
        if (!log_->append(record))
            lose_log(fmt::format("log full at {} bytes", options_.log_bytes_max));
        else if (record::core_kind_of(record) == core::RecordKind::trip)
            log_->sync();
    } catch (const std::system_error& error) {
        lose_log(fmt::format("log cannot be written: {}", error.code().message()));
    }
}

void SimulationLoop::lose_log(const std::string& why) {
    log_lost_ = why;
    say_on_error(why + "; the session runs on without");
}

void SimulationLoop::advance(Clock::time_point now) {
    if (pacer_.paused()) return;
    if (!pacer_.is_unpaced()) {
        session_->run_until(pacer_.at(now));
        return;
    }
    while (session_->busy() && Clock::now() < now + slice) session_->run_until(session_->next_due());
    pacer_.anchor(session_->now(), now);
}

void SimulationLoop::take_requests() {
    if (!log_lost_.empty() && !std::exchange(clients_told_, true)) session_->note_log_lost(log_lost_);
    record::SessionInput request;
    // One round: a client has one message in the queue at most, so this ends.
    for (int taken = 0; taken < 256 && requests_.take(request); ++taken) {
        take(request);
        if (request.kind == record::SessionInput::Kind::panel) server_.reply(request.client, {}, true);
        for (const auto& [wanted, words] : std::exchange(pace_requests_, {})) follow(wanted, words);
    }
}

void SimulationLoop::take(const record::SessionInput& request) {
    using Kind = record::SessionInput::Kind;
    if (request.kind == Kind::panel && options_.course) {
        if (auto reply = options_.course->take(request)) {
            server_.send_to_panel(request.client,
                                  std::make_shared<const std::string>(std::move(reply->json)));
            if (reply->start) begin(std::move(*reply->start));
            return;
        }
    }
    if (request.kind == Kind::open) opened_[request.client] = request;
    if (request.kind == Kind::close) opened_.erase(request.client);
    session_->take(std::max(session_->now(), pacer_.at(Clock::now())), request);
}

void SimulationLoop::follow(const session::PaceRequest& wanted, const std::string& words) {
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
            const auto ticks = static_cast<std::uint64_t>(wanted.value * session_->clock_hz());
            const core::Instant to = std::max(session_->now(), pacer_.at(now)) + core::Ticks{ticks};
            session_->run_until(to);
            pacer_.anchor(to, Clock::now());
            break;
        }
    }
    session_->note_pace(std::max(session_->now(), pacer_.at(now)), words);
}

/// Ramps down, writes the last record, and into the class sheet what was done.
void SimulationLoop::end_session(const std::string& why) {
    session_->close(why);
    note_drill();
    if (!log_ || !log_lost_.empty()) return;
    try {
        log_->sync();
    } catch (const std::system_error& error) {
        lose_log(fmt::format("log cannot be written: {}", error.code().message()));
    }
}

void SimulationLoop::begin(session::SessionSetup setup) {
    end_session("another drill");
    for (const auto& [client, opened] : opened_)
        server_.reply(client, {}, true);  // nobody waits for what is over
    log_.reset();
    log_lost_.clear();
    clients_told_ = drill_noted_ = false;
    log_path_ = next_log_path(options_.log_path, sessions_);
    setup_ = std::move(setup);
    if (!options_.fixed_start) setup_.start_utc_s = system_utc_s();
    session_ = new_session();
    const Clock::time_point now = Clock::now();
    const bool paused = pacer_.paused();
    pacer_ = Pacer(session_->clock_hz(), pacer_.speed(), now);
    if (paused) pacer_.pause(now);
    for (const auto& [client, opened] : opened_) session_->take(session_->now(), opened);
    server_.broadcast(std::make_shared<const std::string>(R"({"kind":"restarted"})"));
    show();
}

void SimulationLoop::note_drill() {
    if (!options_.course || drill_noted_ || !session_->drill() || !session_->drill()->over()) return;
    drill_noted_ = true;
    try {
        options_.course->note(*session_, setup_, log_path_);
    } catch (const base::InputError& error) {
        say_on_error(text_of(error.problems().front()));
    }
}

void SimulationLoop::show() {
    const auto status_for = [this](record::Role role) {
        nlohmann::json status = session_->status_json(role);
        status["speed"] = pacer_.speed_text();
        status["paused"] = pacer_.paused();
        if (options_.course) status["course"] = options_.course->status();
        if (!log_lost_.empty()) status["log_lost"] = log_lost_;
        return std::make_shared<const std::string>(status.dump());
    };
    server_.broadcast_state(status_for(record::Role::trainee), status_for(record::Role::trainer));
}

}  // namespace ampturn::sim::host
