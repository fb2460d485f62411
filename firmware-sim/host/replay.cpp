#include "firmware-sim/host/replay.hpp"

#include <fmt/format.h>

#include <optional>
#include <system_error>

#include "firmware-sim/record/session_log.hpp"
#include "firmware-sim/session/session.hpp"
#include "scheduler/base/input_error.hpp"

namespace ampturn::sim {
namespace {

/// What the log says of the program that wrote it need not be so of this one.
Record without_origin(Record record) {
    if (type_of(record) == RecordType::session) {
        record.erase("version");
        record.erase("git");
    }
    return record;
}

class Comparison {
  public:
    Comparison(const std::vector<Record>& recorded, ReplayResult& result)
        : recorded_(recorded), result_(result) {}

    void see(const Record& replayed) {
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
    const std::vector<Record>& recorded_;
    ReplayResult& result_;
    std::size_t seen_ = 0;
};

}  // namespace

ReplayResult replay(const std::string& log_path) {
    LogRead log;
    try {
        log = read_log(log_path);
    } catch (const std::system_error& error) {
        throw plan::InputError(
            {.file = log_path, .position = {}, .key = {}, .found = error.what(), .allowed = "a session log"});
    }
    if (log.records.empty() || type_of(log.records.front()) != RecordType::session) {
        throw plan::InputError({.file = log_path,
                                .position = {1, 0},
                                .key = "what",
                                .found = log.damage.empty() ? "no session record" : log.damage,
                                .allowed = "a session log begins with a session record"});
    }
    ReplayResult result;
    result.damage = log.damage;
    const SessionSetup setup = SessionSetup::from_record(log.records.front(), log_path);
    Comparison comparison(log.records, result);
    Session::Outputs outputs;
    outputs.record = [&](const Record& record) { comparison.see(record); };
    outputs.answer = [](std::uint32_t, const std::string&, bool) {};
    Session session(setup, setup.guarded ? Session::recorded_token : "", outputs);
    for (const Record& record : log.records) {
        if (!result.same) return result;
        const core::Instant tick{record.value("tick", std::uint64_t{0})};
        if (type_of(record) == RecordType::pace) session.note_pace(tick, record.value("text", ""));
        if (type_of(record) != RecordType::in) continue;
        ++result.inputs;
        const std::string kind = record.value("kind", "");
        if (kind == "shutdown") {
            session.close_at(tick, record.value("text", ""));
            continue;
        }
        const auto known = input_kind_named(kind);
        if (!known) {
            throw plan::InputError({.file = log_path,
                                    .position = {static_cast<int>(record.value("n", 0)), 0},
                                    .key = "kind",
                                    .found = kind,
                                    .allowed = "open, message, overrun, close, panel or shutdown"});
        }
        session.take(tick, {*known, record.value("client", 0U), record.value("who", ""),
                            record.value("trusted", false), text_of_printable(record.value("text", ""))});
    }
    // Records after the last input: let time run on to the last of them.
    if (result.same && comparison.seen() < log.records.size()) {
        session.run_until(core::Instant{log.records.back().value("tick", std::uint64_t{0})});
    }
    if (result.same && comparison.seen() < log.records.size()) {
        result.same = false;
        result.line = comparison.seen() + 1;
        result.recorded = log.records[comparison.seen()].dump();
    }
    return result;
}

}  // namespace ampturn::sim
