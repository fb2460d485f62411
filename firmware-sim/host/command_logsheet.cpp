#include <fmt/core.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "firmware-sim/host/commands.hpp"
#include "firmware-sim/host/logsheet.hpp"
#include "firmware-sim/host/replay.hpp"
#include "scheduler/base/output_file.hpp"

namespace ampturn::sim::host {

void add_logsheet(CLI::App& app, int&) {
    struct Flags {
        std::string log, output = "logsheet";
    };
    auto flags = std::make_shared<Flags>();
    CLI::App* command =
        app.add_subcommand("logsheet", "Write the transmitter's log sheet of a session: CSV and HTML");
    command->add_option("LOG", flags->log, "session log, a file of JSON lines")->required();
    command->add_option("-o,--output", flags->output, "writes PREFIX.csv, PREFIX_lines.csv and PREFIX.html")
        ->option_text("PREFIX");
    command->footer("Example:\n  ampturn-sim logsheet today.jsonl --output sheet");
    command->callback([flags, &app, command] {
        refuse_options_before(app, *command);
        const record::LogRead log = read_session_log(flags->log);
        const LogSheet sheet = logsheet_of(log, flags->log);
        base::write_output_file(flags->output + ".csv", sheet_csv(sheet));
        base::write_output_file(flags->output + "_lines.csv", sheet_lines_csv(sheet));
        base::write_output_file(flags->output + ".html", sheet_html(sheet));
        if (!sheet.damage.empty())
            fmt::print("log: {}; the sheet holds what stands before it\n", sheet.damage);
        fmt::print("{} lines: {}.csv, {}_lines.csv, {}.html\n", sheet.lines.size(), flags->output,
                   flags->output, flags->output);
    });
}

}  // namespace ampturn::sim::host
