#include <fmt/core.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "firmware-sim/host/commands.hpp"
#include "firmware-sim/host/debrief_text.hpp"
#include "firmware-sim/host/replay.hpp"

namespace ampturn::sim::host {

void add_debrief(CLI::App& app, int& result) {
    struct Flags {
        std::string log;
        bool json = false;
    };
    auto flags = std::make_shared<Flags>();
    CLI::App* command =
        app.add_subcommand("debrief", "Run a drill's session log again and say what was done well");
    command->add_option("LOG", flags->log, "session log, a file of JSON lines")->required();
    command->add_flag("--json", flags->json, "as JSON");
    command->footer(
        "Example:\n  ampturn-sim debrief today.jsonl\nReturns 1 when this version does not make the same session of the log.");
    command->callback([flags, &app, command, &result] {
        refuse_options_before(app, *command);
        nlohmann::json debrief;
        const ReplayResult replayed = replay(flags->log, &debrief);
        if (!replayed.same) {
            fmt::print(stderr,
                       "ampturn-sim: {}:{}: the log differs from what this version makes of its inputs\n",
                       flags->log, replayed.line);
            result = 1;
            return;
        }
        if (!replayed.damage.empty()) fmt::print("log: {}; what stands before it is used\n", replayed.damage);
        fmt::print("{}", flags->json ? debrief.dump(1) + "\n" : debrief_text(debrief));
    });
}

}  // namespace ampturn::sim::host
