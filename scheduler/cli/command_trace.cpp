#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <memory>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/run/trace_script.hpp"
#include "scheduler/sweep/table_files.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct TraceOptions {
    std::string script, out;
};

void trace(const TraceOptions& options) {
    constexpr std::size_t script_bytes_max = 16'000'000;
    const std::string script = base::read_input_file(options.script, "a script of inputs", script_bytes_max);
    std::string out;
    run::TraceScript runner(
        [](void* text, std::string_view line) {
            static_cast<std::string*>(text)->append(line).push_back('\n');
        },
        &out);
    int number = 0;
    for (std::size_t at = 0; at < script.size();) {
        const std::size_t end = std::min(script.find('\n', at), script.size());
        ++number;
        const run::ScriptFault fault = runner.line(std::string_view(script).substr(at, end - at));
        if (fault.bad)
            throw base::InputError({options.script,
                                    {number, 0},
                                    "",
                                    std::string(fault.found.substr(0, 60)),
                                    std::string(fault.allowed)});
        at = end + 1;
    }
    if (options.out.empty())
        fmt::print("{}", out);
    else
        base::write_output_file(options.out, out);
}

}  // namespace

void add_trace(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<TraceOptions>();
    CLI::App* command = app.add_subcommand(
        "trace", "Runs a script of inputs on the unit's core and prints what it does, tick by tick");
    command->add_option("SCRIPT", options->script, "File with a script of inputs, one a line")->required();
    command->add_option("--out", options->out, "File to write instead of standard output");
    command->footer(
        "Lines: script NAME; unit KEY VALUE; "
        "step LOOP TAP CAPACITOR DIVISOR CYCLES CURRENT_MA_PEAK RAMP_CYCLES\n"
        "SETTLE_TICKS GAP_TICKS FLAGS; table ID SWEEPS; load [flip BIT | cut BYTES]; set KEY VALUE; read;\n"
        "wait SPAN; late SPAN; back SPAN; control WORD; mark SECOND. "
        "A span is in ticks, or ends in ms or s.\n\n"
        "Example:\n"
        "  printf 'step 1 1 0 10000 4800 8000 24 480000 240000 0\\nload\\nread\\nwait 1s\\n"
        "control arm\\ncontrol go\\nwait 10s\\n' >first.trace\n"
        "  ampturn trace first.trace");
    command->callback([options] { trace(*options); });
}

}  // namespace ampturn::cli
