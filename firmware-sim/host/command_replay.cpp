#include <fmt/core.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "firmware-sim/host/commands.hpp"
#include "firmware-sim/host/replay.hpp"

namespace ampturn::sim::host {

void add_replay(CLI::App& app, int& result) {
    auto path = std::make_shared<std::string>();
    CLI::App* command =
        app.add_subcommand("replay", "Feed a session's inputs to a fresh unit; the outputs must be the same");
    command->add_option("LOG", *path, "session log, a file of JSON lines")->required();
    command->footer(
        "Example:\n  ampturn-sim replay today.jsonl\nReturns 0 when every record is the same, 1 when not.");
    command->callback([path, &result, &app, command] {
        refuse_options_before(app, *command);
        const ReplayResult replayed = replay(*path);
        if (!replayed.damage.empty()) fmt::print("log: {}; what stands before it is used\n", replayed.damage);
        if (replayed.same) {
            fmt::print("same: {} records from {} inputs\n", replayed.records, replayed.inputs);
            return;
        }
        fmt::print("differs at line {}\nrecorded: {}\nreplayed: {}\n", replayed.line, replayed.recorded,
                   replayed.replayed.empty() ? "(nothing)" : replayed.replayed);
        result = 1;
    });
}

}  // namespace ampturn::sim::host
