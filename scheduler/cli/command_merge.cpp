#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/part_range.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/field_request/point_parts.hpp"
#include "scheduler/field_request/point_rows.hpp"
#include "scheduler/reach/ground_rows.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/draw_rows.hpp"
#include "scheduler/report/monte_carlo_text.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/day_inputs.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

constexpr std::size_t part_bytes_max = 8'000'000'000;

struct MergeArguments {
    std::vector<std::string> parts;
    std::string out;
    int runs = 0;
};

std::string read_part(const std::string& file) {
    return base::read_input_file(file, "a part that this program has written", part_bytes_max);
}

/// What the first line, or the whole text where it is one value, calls itself; "" for anything else.
std::string schema_of(std::string_view text) {
    for (const std::string_view piece : {text.substr(0, text.find('\n')), text}) {
        if (base::json_nested_too_deep(piece)) break;
        const auto json = nlohmann::json::parse(piece, nullptr, false);
        if (json.is_object() && json.contains("schema") && json["schema"].is_string())
            return json["schema"].get<std::string>();
        if (piece != "{") break;  // lines of rows: their first says it all
    }
    return "";
}

/// Rows of a part that somebody changed, or of another build, need not be as long as the plan has readings.
void check_lengths(const std::vector<report::DrawsPart>& parts, const std::vector<std::string>& files,
                   std::size_t readings) {
    std::optional<std::size_t> inputs;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        int line = 1;
        for (const day::DayDraw& draw : parts[i].draws) {
            ++line;
            if (!inputs) inputs = draw.inputs.size();
            if (draw.usable.size() != readings)
                base::refuse_part(files[i], line, fmt::format("{} readings", draw.usable.size()),
                                  fmt::format("{}, as the plan has", readings));
            if (draw.inputs.size() != *inputs)
                base::refuse_part(files[i], line, fmt::format("{} inputs", draw.inputs.size()),
                                  fmt::format("{}, as in the first run", *inputs));
        }
    }
}

void merge_draws(const MergeArguments& arguments, const std::string& first_text) {
    std::vector<report::DrawsPart> parts;
    for (std::size_t i = 0; i < arguments.parts.size(); ++i)
        parts.push_back(
            report::read_draws(i == 0 ? first_text : read_part(arguments.parts[i]), arguments.parts[i]));
    const tune::DayInputs inputs = parts.front().head.inputs;
    const plan::Plan plan = tune::plan_of(inputs);
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    check_lengths(parts, arguments.parts, plan.stations.size() * setup.frequencies_hz.size());
    std::vector<day::DayDraw> draws = report::merged_draws(std::move(parts), arguments.parts, arguments.runs);
    const day::DayResult day = day::simulate_day(plan, setup, {.seed = inputs.seed, .threads = 1});
    const day::MonteCarloSummary runs = day::summary_of(plan, setup, std::move(draws), inputs.seed);
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        base::write_output_file(arguments.out + "/monte_carlo.json",
                                report::monte_carlo_json_text(runs, day));
        base::write_output_file(arguments.out + "/battery_percentiles.csv",
                                report::battery_percentiles_csv(runs.battery));
    }
    fmt::print("{}", report::monte_carlo_text(runs, day));
}

void run_merge(const MergeArguments& arguments) {
    const std::string first_text = read_part(arguments.parts.front());
    const std::string schema = schema_of(first_text);
    const bool rows = schema == reach::ground_rows_schema, points = schema == field_request::points_schema;
    if (!rows && !points) return merge_draws(arguments, first_text);
    const auto refuse = [](const char* flag, const char* found, const char* allowed) {
        throw base::InputError({.file = flag, .position = {}, .key = {}, .found = found, .allowed = allowed});
    };
    if (arguments.runs > 0)
        refuse("--runs", "with parts of a list of grounds", "with runs of a day; a list knows its length");
    if (arguments.out.empty())
        refuse("--out", "nothing, with parts of a list of grounds", "a file for all of them");
    if (rows)
        reach::merge_ground_rows(arguments.parts, arguments.out);
    else
        field_request::merge_points(arguments.parts, arguments.out);
}

}  // namespace

void add_merge(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<MergeArguments>();
    CLI::App* command = app.add_subcommand(
        "merge",
        "Puts runs of a day, or answers over grounds, that were made in parts together, as if made in one");
    command
        ->add_option(
            "PART", arguments->parts,
            "Files that `day --draws` or `reach --grounds` has written, or FILE.json of `fields --grounds`")
        ->required();
    command->add_option("--runs", arguments->runs, "How many runs there must be; default: those of the parts")
        ->check(CLI::Range(1, 1'000'000));
    command->add_option(
        "--out", arguments->out,
        "Of runs: folder for monte_carlo.json and battery_percentiles.csv, as `day --runs --out` writes them; "
        "of grounds: the file");
    command->footer(
        "A part that ended early, and runs or grounds that no part holds, are named.\n\n"
        "Examples:\n  ampturn day demo/quick.toml --draws 0:50 --rows a.jsonl\n"
        "  ampturn day demo/quick.toml --draws 50:50 --rows b.jsonl\n"
        "  ampturn merge a.jsonl b.jsonl --runs 100\n"
        "  ampturn merge part-*.jsonl --out reach.jsonl\n"
        "  ampturn merge part-*.f64.json --out fields.f64");
    command->callback([arguments] { run_merge(*arguments); });
}

}  // namespace ampturn::cli
