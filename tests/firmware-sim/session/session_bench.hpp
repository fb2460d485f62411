#pragma once

#include <gtest/gtest.h>

#include <map>
#include <string>
#include <vector>

#include "firmware-sim/session/session.hpp"

namespace ampturn::sim::session {

/// A session without sockets: clients are numbers, answers are kept, time moves when the test says so.
class SessionBench {
  public:
    explicit SessionBench(const SessionSetup& setup, std::string token = {})
        : session_(
              setup, std::move(token),
              {.record = [this](const record::Record& record) { records.push_back(record); },
               .answer =
                   [this](std::uint32_t client, const std::string& text, bool done) {
                       answers[client] += text;
                       if (done) pending[client] = false;
                   },
               .send_to_panel = [this](std::uint32_t,
                                       const std::string& json) { last_reply = nlohmann::json::parse(json); },
               .broadcast = {},
               .pace = {}}) {}

    static SessionSetup practice() {
        SessionSetup setup;
        setup.start_utc_s = 1780300800;  // 2026-06-01T08:00:00Z
        setup.plan_path = site::default_plan_name;
        setup.plan_text = site::default_plan();
        return setup;
    }

    void open(std::uint32_t client, record::Role role = record::Role::trainer) {
        input(record::SessionInput::Kind::open, client, "", role);
    }
    /// Sends a message and lets time run until its answer is done. The answer without its newline.
    std::string ask(const std::string& message, std::uint32_t client = 1) {
        answers[client].clear();
        pending[client] = true;
        input(record::SessionInput::Kind::message, client, message, record::Role::trainer);
        while (pending[client]) {
            if (session_.next_due() == core::Instant::never()) ADD_FAILURE() << "never answered: " << message;
            session_.run_until(session_.next_due());
        }
        std::string answer = answers[client];
        if (!answer.empty() && answer.back() == '\n') answer.pop_back();
        return answer;
    }
    /// A panel message; the reply is in last_reply.
    bool panel(const std::string& json, record::Role role = record::Role::trainer,
               std::uint32_t client = 100) {
        last_reply = nullptr;
        input(record::SessionInput::Kind::panel, client, json, role);
        return last_reply.is_object() && last_reply.value("accepted", false);
    }
    void close(std::uint32_t client) {
        input(record::SessionInput::Kind::close, client, "", record::Role::trainee);
    }
    /// Does an action and waits until the hands are free again.
    bool act(const std::string& action, std::uint32_t client = 100) {
        const bool accepted = panel("{\"do\":\"" + action + "\"}", record::Role::trainer, client);
        while (session_.site().hands_busy()) session_.run_until(session_.next_due());
        return accepted;
    }
    void wait_s(double seconds) {
        now_ = std::max(now_, session_.now()) +
               core::Ticks{static_cast<std::uint64_t>(seconds * session_.clock_hz())};
        session_.run_until(now_);
    }
    /// Lets time run until the unit is in the state; false after `seconds`.
    bool wait_state(const std::string& state, double seconds = 600) {
        const core::Instant until =
            session_.now() + core::Ticks{static_cast<std::uint64_t>(seconds * session_.clock_hz())};
        while (word() != state) {
            if (session_.next_due() > until) return false;
            session_.run_until(session_.next_due());
        }
        return true;
    }
    std::string word() { return session_.status_json()["state"]; }
    Session& session() { return session_; }

    std::vector<record::Record> records;
    std::map<std::uint32_t, std::string> answers;
    std::map<std::uint32_t, bool> pending;
    nlohmann::json last_reply;

  private:
    void input(record::SessionInput::Kind kind, std::uint32_t client, const std::string& text,
               record::Role role) {
        now_ = std::max(now_, session_.now());
        session_.take(now_, {kind, client, "test#" + std::to_string(client), role, text});
    }

    Session session_;
    core::Instant now_{0u};
};

}  // namespace ampturn::sim::session
