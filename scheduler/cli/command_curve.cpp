#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <map>
#include <memory>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/curve/curve_output.hpp"
#include "scheduler/curve/edi.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct CurveOptions {
    PlanArgument plan;
    bool csv = false, json = false;
    std::string chart, edi;
    unsigned threads = 0;  // 0: as many as the machine has
};

/// Two stations whose names make the same file name would overwrite each other.
void refuse_clashes(const curve::Curve& curve) {
    std::map<std::string, std::string> taken;
    for (const curve::StationCurve& station : curve.stations) {
        const auto [at, fresh] = taken.emplace(curve::edi_file_name(station), station.station);
        if (!fresh)
            throw base::InputError(base::InputProblem{
                .file = curve.plan_file,
                .position = {},
                .key = "station.name",
                .found =
                    fmt::format("\"{}\" and \"{}\", one EDI file name for both", at->second, station.station),
                .allowed = "names that differ in letters, digits, - or _"});
    }
}

void run_curve(const CurveOptions& options) {
    const unsigned threads = base::thread_count(options.threads);
    const curve::Curve curve = curve::curve_of(options.plan.load(), threads);
    if (!options.edi.empty()) {
        refuse_clashes(curve);
        base::make_output_directory(options.edi);
        for (const curve::StationCurve& station : curve.stations)
            base::write_output_file(options.edi + "/" + curve::edi_file_name(station),
                                    curve::edi_text(curve, station));
    }
    if (!options.chart.empty()) base::write_output_file(options.chart, curve::curve_svg(curve));
    if (options.json)
        fmt::print("{}", curve::curve_json_text(curve));
    else if (options.csv)
        fmt::print("{}", curve::curve_csv(curve));
    else
        fmt::print("{}", curve::curve_text(curve));
}

}  // namespace

void add_curve(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<CurveOptions>();
    CLI::App* command = app.add_subcommand(
        "curve", "Prints the sounding curve each station would record, beside the plane wave's");
    add_plan_argument(*command, options->plan);
    auto* csv = command->add_flag("--csv", options->csv, "Print CSV");
    command->add_flag("--json", options->json, "Print JSON")->excludes(csv);
    command->add_option("--chart", options->chart, "File for a chart (SVG)");
    command->add_option("--edi", options->edi, "Folder for one SEG EDI file a station (made if missing)");
    command->add_option("--threads", options->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "Apparent resistivity, phase and tipper from the two loops of each station's site, without noise;\n"
        "zone: far field, transition or near field, by the plan's bias tolerances.\n\n"
        "Examples:\n  ampturn curve demo/quick.toml\n"
        "  ampturn curve demo/vesslarook.toml --csv\n"
        "  ampturn curve demo/vesslarook.toml --chart curve.svg --edi edi");
    command->callback([options] { run_curve(*options); });
}

}  // namespace ampturn::cli
