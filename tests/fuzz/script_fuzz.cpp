// libFuzzer target: a script of inputs to the core, as `trace` takes it: whatever is in it, current flows in no state but those that
// may energise (the core's own checks end the run otherwise), and a refused line says why in one line.
#include <algorithm>
#include <string>
#include <vector>

#include "scheduler/run/trace_script.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    static const std::vector<std::string> lines{"script a",
                                                "unit clock_hz 24000000",
                                                "unit loops_fitted 3",
                                                "unit quadrature 1",
                                                "unit start_mark 1",
                                                "step a 1 0 10000 4800 8000 24 0 0 0",
                                                "step b 1 0 40000 2400 9500 6 24000 24000 0",
                                                "table 1 1",
                                                "load",
                                                "load flip 3",
                                                "load cut 4",
                                                "set current_a_ma 0",
                                                "set supply 0",
                                                "set supply 1",
                                                "set battery_mv 25000",
                                                "set bus_mv 0",
                                                "set clock_ok 0",
                                                "set readings 0",
                                                "read",
                                                "wait 1s",
                                                "wait 10ms",
                                                "wait 100s",
                                                "late 5",
                                                "back 5",
                                                "control arm",
                                                "control go",
                                                "control stop",
                                                "control disarm",
                                                "control emergency_stop",
                                                "control emergency_reset",
                                                "control acknowledge",
                                                "mark 1000"};
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return fuzz::changed_lines(std::move(text), lines, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    std::string_view text = fuzz::text_of_bytes(data, size);
    run::TraceScript script(
        [](void*, std::string_view line) {
            fuzz::must(line.find('\n') == std::string_view::npos, "a line is a line");
        },
        nullptr);
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const run::ScriptFault fault = script.line(text.substr(0, end));
        fuzz::must(!fault.bad || !fault.allowed.empty(), "a refusal says what is allowed");
        if (fault.bad) return 0;
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return 0;
}
