// libFuzzer target: a session log, as `replay`, `logsheet` and `debrief` take it. The mutator gives most logs their check values again, so
// that what stands in the records is looked at.
#include <algorithm>
#include <cstdlib>

#include "firmware-sim/host/logsheet.hpp"
#include "firmware-sim/host/replay.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"
#include "tests/fuzz/session_inputs.hpp"

namespace {

using namespace ampturn;

const std::vector<std::string> keys{
    "n",     "tick",       "utc",         "what",        "who",     "client",  "kind", "role",
    "text",  "seed",       "start_utc_s", "from",        "to",      "name",    "loop", "drill",
    "event", "start_tick", "drill_text",  "step_number", "divisor", "readings"};

/// A short session, so that there is a log to change.
const std::string& short_log() {
    static const std::string log = [] {
        std::string text;
        sim::record::RunningCheck check;
        sim::session::Session::Outputs outputs;
        outputs.record = [&](const sim::record::Record& record) {
            text += sim::record::line_of(record, check);
        };
        outputs.answer = [](std::uint32_t, const std::string&, bool) {};
        sim::session::Session session(fuzz::practice_setup(), "", outputs);
        fuzz::run_session(
            session, "LIST:FREQ 96;CURR 2;DWEL 1;LOOP A;TAP 1;CAP 0\n{\"remark\":\"a\"}\nARM;INIT\n+8\n");
        return text;
    }();
    return log;
}

/// One record changed as JSON, or lines as text; then all check values put right.
std::string changed_log(const std::string& text, fuzz::Random& random) {
    const std::string& base = text.size() < 200 ? short_log() : text;
    const sim::record::LogRead read = sim::record::read_log_text(base);
    if (read.records.empty()) return short_log();
    const std::size_t wanted = random() % read.records.size();
    std::string out;
    sim::record::RunningCheck check;
    for (std::size_t i = 0; i < read.records.size(); ++i) {
        sim::record::Record record = read.records[i];
        if (i == wanted)
            record =
                sim::record::Record::parse(fuzz::changed_json(record.dump(), keys, random), nullptr, false);
        if (record.is_object()) out += sim::record::line_of(record, check);
    }
    return out;
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    return fuzz::mutated(data, size, size_max, seed, [](const std::string& text, fuzz::Random& random) {
        return changed_log(text, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    fuzz::accepted([&] {
        const sim::record::LogRead log =
            sim::host::session_log_of(fuzz::text_of_bytes(data, size), "fuzz.jsonl");
        fuzz::accepted([&] {
            const sim::host::LogSheet sheet = sim::host::logsheet_of(log, "fuzz.jsonl");
            fuzz::must(!sim::host::sheet_csv(sheet).empty() && !sim::host::sheet_html(sheet).empty(),
                       "a sheet is something");
            (void)sim::host::sheet_lines_csv(sheet);
        });
        nlohmann::json debrief;
        const sim::host::ReplayResult result = sim::host::replay_log(log, "fuzz.jsonl", &debrief);
        fuzz::must(result.same || result.line > 0, "a difference has a line");
    });
    return 0;
}
