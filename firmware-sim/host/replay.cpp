#include "firmware-sim/host/replay.hpp"

#include <fmt/format.h>

#include <optional>

#include "firmware-sim/record/session_log.hpp"
#include "firmware-sim/session/session.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"

namespace ampturn::sim::host {
namespace {

/// What the log says of the program that wrote it need not be so of this one.
record::Record without_origin(record::Record record) {
    if (record::type_of(record) == record::RecordType::session) {
        record.erase("version");
        record.erase("git");
    }
    return record;
}

class Comparison {
  public:
    Comparison(const std::vector<record::Record>& recorded, ReplayResult& result)
        : recorded_(recorded), result_(result) {}

    void see(const record::Record& replayed) {
        const std::size_t index = seen_++;
        if (!result_.same) return;
        // Beyond the end of a log that was cut short nothing can be compared.
        if (index >= recorded_.size()) return;
        ++result_.records;
        if (without_origin(recorded_[index]) == without_origin(replayed)) return;
        result_.same = false;
        result_.line = index + 1;
        result_.recorded = recorded_[index].dump();
        result_.replayed = replayed.dump();
    }
    std::size_t seen() const { return seen_; }

  private:
    const std::vector<record::Record>& recorded_;
    ReplayResult& result_;
    std::size_t seen_ = 0;
};

}  // namespace

record::LogRead read_session_log(const std::string& path) {
    constexpr std::size_t bytes_max = 4'000'000'000;
    return session_log_of(base::read_input_file(path, "a session log", bytes_max), path);
}

record::LogRead session_log_of(std::string_view text, const std::string& path) {
    record::LogRead log = record::read_log_text(text);
    if (log.inside) {
        const std::size_t colon = log.damage.find(": ");
        throw base::InputError({.file = path,
                                .position = {static_cast<int>(log.damage_line), 0},
                                .key = {},
                                .found = log.damage.substr(colon + 2),
                                .allowed = "a log as it was written; only its end may be cut off"});
    }
    if (!log.records.empty() && record::type_of(log.records.back()) == record::RecordType::full) {
        log.damage =
            fmt::format("line {}: the log was full, the session went on without", log.records.size());
        log.records.pop_back();
    }
    return log;
}

ReplayResult replay(const std::string& log_path, nlohmann::json* debrief) {
    return replay_log(read_session_log(log_path), log_path, debrief);
}

namespace {

/// Lets time run as far as the records agree: a log that names a moment ages from now is found wrong long before.
void run_towards(session::Session& session, core::Instant t, const ReplayResult& result) {
    while (result.same) {
        const core::Instant due = session.next_due();
        if (due >= t) return;
        session.run_until(due);
        if (session.next_due() == due) return;  // closed
    }
}

}  // namespace

ReplayResult replay_log(const record::LogRead& log, const std::string& log_path, nlohmann::json* debrief) {
    if (log.records.empty() || record::type_of(log.records.front()) != record::RecordType::session) {
        throw base::InputError({.file = log_path,
                                .position = {1, 0},
                                .key = "what",
                                .found = log.damage.empty() ? "no session record" : log.damage,
                                .allowed = "a session log begins with a session record"});
    }
    ReplayResult result;
    result.damage = log.damage;
    const session::SessionSetup setup = session::SessionSetup::from_record(log.records.front(), log_path);
    Comparison comparison(log.records, result);
    session::Session::Outputs outputs;
    outputs.record = [&](const record::Record& record) { comparison.see(record); };
    outputs.answer = [](std::uint32_t, const std::string&, bool) {};
    session::Session session(setup, setup.guarded ? session::Session::recorded_token : "", outputs);
    for (const record::Record& record : log.records) {
        if (!result.same) return result;
        const core::Instant tick{record.value("tick", std::uint64_t{0})};
        run_towards(session, tick, result);
        if (!result.same) return result;
        if (record::type_of(record) == record::RecordType::pace)
            session.note_pace(tick, record.value("text", ""));
        if (record::type_of(record) != record::RecordType::in) continue;
        ++result.inputs;
        const std::string kind = record.value("kind", "");
        if (kind == "shutdown") {
            session.close_at(tick, record.value("text", ""));
            continue;
        }
        const auto known = record::input_kind_named(kind);
        if (!known) {
            throw base::InputError({.file = log_path,
                                    .position = {static_cast<int>(record.value("n", 0)), 0},
                                    .key = "kind",
                                    .found = kind,
                                    .allowed = "open, message, overrun, close, panel or shutdown"});
        }
        const auto role = record::role_named(record.value("role", ""));
        if (!role) {
            throw base::InputError({.file = log_path,
                                    .position = {static_cast<int>(record.value("n", 0)), 0},
                                    .key = "role",
                                    .found = record.value("role", "none"),
                                    .allowed = "watcher, trainee or trainer"});
        }
        session.take(tick, {*known, record.value("client", 0U), record.value("who", ""), *role,
                            record::text_of_printable(record.value("text", ""))});
    }
    // Records after the last input: let time run on to the last of them. What is still missing was written when the unit was
    // brought there for an input that the log was cut before.
    const core::Instant last{log.records.back().value("tick", std::uint64_t{0})};
    if (comparison.seen() < log.records.size()) run_towards(session, last, result);
    if (result.same && comparison.seen() < log.records.size()) session.run_until(last);
    if (result.same && comparison.seen() < log.records.size()) session.arrive_at(last);
    if (result.same && comparison.seen() < log.records.size()) {
        result.same = false;
        result.line = comparison.seen() + 1;
        result.recorded = log.records[comparison.seen()].dump();
    }
    if (debrief != nullptr) *debrief = session.debrief(record::Role::trainer);
    return result;
}

}  // namespace ampturn::sim::host
