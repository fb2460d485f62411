#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <cstdio>
#include <map>
#include <memory>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/sweep/table_files.hpp"
#include "scheduler/sweep/table_text.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct TableOptions {
    PlanArgument source;
    std::string to, out;
    bool show = false;
};

const std::map<std::string, sweep::TableFormat> formats{{"image", sweep::TableFormat::image},
                                                        {"hex", sweep::TableFormat::hex},
                                                        {"header", sweep::TableFormat::header},
                                                        {"csv", sweep::TableFormat::csv}};

struct ShownTable {
    sweep::StoredTable stored;
    std::string made_for;  // empty: a stored table does not say
};

/// A plan's sweep as its unit will run it, or a table already stored.
ShownTable shown_table(const PlanArgument& source) {
    sweep::TableFormat format{};
    const std::string& bytes = source.text();
    if (sweep::looks_like_table(bytes, format)) {
        if (!source.settings.empty())
            throw base::InputError(
                {"--set", {}, "", "a setting", "none: a stored table has no keys of a plan"});
        return {sweep::read_table_file(source.path, bytes), {}};
    }
    const setup::SweepSetup setup = setup::sweep_setup_of(source.load());
    return {{setup.table.table, setup.unit.clock_hz}, setup::made_for_text(setup.table.made_for)};
}

void table(const TableOptions& options) {
    const ShownTable shown = shown_table(options.source);
    if (options.to.empty()) {
        if (!shown.made_for.empty()) fmt::print("{}\n", shown.made_for);
        fmt::print("{}", sweep::table_text(shown.stored));
        return;
    }
    const std::string bytes = sweep::table_file(shown.stored, formats.at(options.to));
    if (!options.out.empty())
        base::write_output_file(options.out, bytes);
    else if (options.to == "image" && is_terminal(stdout))
        throw base::InputError(
            {"--to image", {}, "", "a terminal as output", "--out FILE, or output that is no terminal"});
    else if (std::fwrite(bytes.data(), 1, bytes.size(), stdout) != bytes.size())
        return;  // main reports what is wrong with standard output
}

}  // namespace

void add_table(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<TableOptions>();
    CLI::App* command =
        app.add_subcommand("table", "Writes the sweep table as the unit stores it, or shows one");
    add_plan_argument(*command, options->source);
    command->get_option("PLAN")->description("Plan file (TOML), or a stored table in any of the forms");
    auto* to = command->add_option("--to", options->to, "Form: image, hex (Intel HEX), header (C) or csv")
                   ->check(CLI::IsMember({"image", "hex", "header", "csv"}));
    command->add_option("--out", options->out, "File to write instead of standard output")->needs(to);
    command
        ->add_flag("--show", options->show,
                   "For people: every step with its frequency and times (the default)")
        ->excludes(to);
    command->footer(
        "Each form loads back equal; "
        "a damaged or impossible table is refused whole with the first reason.\n\n"
        "Examples:\n  ampturn table demo/quick.toml --to image --out sweep.bin\n"
        "  ampturn table sweep.bin --show\n  ampturn table sweep.bin --to hex");
    command->callback([options] { table(*options); });
}

}  // namespace ampturn::cli
