#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/cli/day_files.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/sheet/field_sheet.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct SheetArguments {
    PlanArgument plan;
    std::string out = "field_sheet.html", calendar, receivers;
    std::uint64_t seed = 1;
};

void run_sheet(const SheetArguments& arguments) {
    const plan::Plan plan = arguments.plan.load();
    const day::DayResult day =
        day::simulate_day(plan, {.seed = arguments.seed, .threads = base::thread_count(0)});
    const std::string calendar = arguments.calendar.empty() ? "" : sheet::calendar_text(plan, day);
    if (!arguments.receivers.empty()) base::make_output_directory(arguments.receivers);
    base::write_output_file(arguments.out, sheet::field_sheet_html(plan, day));
    fmt::print("field sheet: {}\n", arguments.out);
    if (!calendar.empty()) {
        base::write_output_file(arguments.calendar, calendar);
        fmt::print("calendar: {}\n", arguments.calendar);
    }
    if (!arguments.receivers.empty())
        for (const std::string& path : write_receiver_files(arguments.receivers, plan, day))
            fmt::print("receiver: {}\n", path);
}

}  // namespace

void add_sheet(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<SheetArguments>();
    CLI::App* command =
        app.add_subcommand("sheet", "Writes the crew's field sheet, pages for each site, and a calendar");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--out", arguments->out, "File for the sheet (HTML, prints on A4 and Letter)")
        ->capture_default_str();
    command->add_option("--calendar", arguments->calendar,
                        "File for an iCalendar of the day (.ics); the plan needs survey.date");
    command->add_option("--receivers", arguments->receivers,
                        "Folder for the receiver crew's page and its schedule as CSV and JSON");
    command->add_option("--seed", arguments->seed, "Seed of measurement noise")->capture_default_str();
    command->footer(
        "Example:\n  ampturn sheet demo/vesslarook.toml --out sheet.html --calendar day.ics --receivers crew");
    command->callback([arguments] { run_sheet(*arguments); });
}

}  // namespace ampturn::cli
