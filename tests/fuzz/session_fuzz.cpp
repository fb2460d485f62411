// libFuzzer target: messages of the command language and of panels to a whole unit, with time between them. Whatever comes, the
// session ends with no current, its log reads back whole and a replay gives it again.
#include <algorithm>
#include <cstdlib>

#include "firmware-sim/host/replay.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"
#include "tests/fuzz/session_inputs.hpp"

namespace {

using namespace ampturn;

bool may_be_shown(const std::string& json) { return nlohmann::json::accept(json); }

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return fuzz::changed_lines(std::move(text), fuzz::session_lines(), random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    std::string log;
    sim::record::RunningCheck check;
    sim::session::Session::Outputs outputs;
    outputs.record = [&](const sim::record::Record& record) { log += sim::record::line_of(record, check); };
    outputs.answer = [](std::uint32_t, const std::string& text, bool) {
        fuzz::must(text.empty() || text.ends_with('\n'), "an answer is a line");
    };
    outputs.send_to_panel = [](std::uint32_t, const std::string& json) {
        fuzz::must(may_be_shown(json), "panels get JSON");
    };
    outputs.broadcast = outputs.broadcast_to_trainers = [](const std::string& json) {
        fuzz::must(may_be_shown(json), "panels get JSON");
    };
    sim::session::Session session(fuzz::practice_setup(), "", outputs);
    fuzz::run_session(session, fuzz::text_of_bytes(data, size));
    fuzz::must(!core::may_energise(session.site().state()), "a closed session sends nothing");
    (void)session.status_json().dump();
    const sim::record::LogRead read = sim::host::session_log_of(log, "fuzz.jsonl");
    fuzz::must(read.damage.empty() && read.good_bytes == log.size(), "its log reads back whole");
    const sim::host::ReplayResult replayed = sim::host::replay_log(read, "fuzz.jsonl");
    fuzz::must(replayed.same && replayed.records == read.records.size(), "and a replay gives it again");
    return 0;
}
