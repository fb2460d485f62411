#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/arguments/new_plan_file.hpp"
#include "scheduler/cli/arguments/plan_argument.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/field_request/ground_list.hpp"
#include "scheduler/reach/ground_rows.hpp"
#include "scheduler/reach/reach.hpp"
#include "scheduler/reach/reach_output.hpp"
#include "scheduler/reach/site_search.hpp"
#include "scheduler/reach/site_search_output.hpp"
#include "scheduler/reach/site_search_page.hpp"
#include "scheduler/site_set/found_sites.hpp"
#include "scheduler/site_set/site_limits.hpp"
#include "scheduler/tune/new_plan_text.hpp"

namespace ampturn::cli {

using namespace arguments;
namespace {

struct ReachArguments {
    PlanArgument plan;
    std::string site, out;
    reach::ReachOptions options;
    std::string candidates, grounds, part, rows, new_plan;
    std::optional<int> at_most;
    std::optional<double> grid_m;
    double margin_m = 1000;
    unsigned threads = 0;
    bool json = false;
};

int site_named(const plan::Plan& plan, const std::string& name) {
    if (name.empty()) return 0;
    std::string known;
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        if (plan.sites[i].name == name) return static_cast<int>(i);
        known += fmt::format("{}\"{}\"", known.empty() ? "" : ", ", plan.sites[i].name);
    }
    throw base::InputError(
        base::InputProblem{.file = "--site", .found = "\"" + name + "\"", .allowed = known});
}

/// The plan with the found sites, for every command that takes a plan.
void write_new_plan(const ReachArguments& arguments, const plan::Plan& plan, const site_set::SiteSets& sets) {
    const plan::Plan with = site_set::plan_with(plan, sets.found, arguments.options.site_index);
    base::write_output_file(
        arguments.new_plan,
        tune::new_plan_text(with, arguments.plan.text(), changed_tables(arguments.plan, {"site", "station"}))
            .text);
}

/// Candidates for a site instead of the reach of one.
void search(const ReachArguments& arguments, const plan::Plan& plan) {
    check_new_plan_file(arguments.plan, plan, arguments.new_plan);
    if (arguments.grid_m && !arguments.candidates.empty())
        throw base::InputError(
            base::InputProblem{.file = "--grid", .found = "with --candidates", .allowed = "one of the two"});
    site_set::AllowedCandidates allowed = site_set::allowed_candidates(
        plan, arguments.grid_m ? reach::grid_candidates(plan, *arguments.grid_m, arguments.margin_m)
                               : reach::candidates_of(plan, reach::read_waypoints(arguments.candidates)));
    const reach::SiteSearch found = reach::search_site(plan, std::move(allowed.candidates),
                                                       {.only_stations_of_site = arguments.site,
                                                        .azimuth_site_index = arguments.options.site_index,
                                                        .hour = arguments.options.hour,
                                                        .grid_step_m = arguments.grid_m.value_or(0),
                                                        .by_station = arguments.at_most.has_value(),
                                                        .threads = arguments.options.threads});
    std::optional<site_set::SiteSets> sets;
    if (arguments.at_most) sets = site_set::site_sets(found, static_cast<std::size_t>(*arguments.at_most));
    if (!arguments.new_plan.empty()) write_new_plan(arguments, plan, *sets);
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        if (sets)
            base::write_output_file(arguments.out + "/site_sets.json",
                                    site_set::site_sets_json_text(found, *sets));
        for (const base::NamedText& file : reach::site_search_files(plan, found))
            base::write_output_file(arguments.out + "/" + file.name, file.text);
    }
    if (arguments.json) {
        fmt::print("{}",
                   sets ? site_set::site_sets_json_text(found, *sets) : reach::site_search_json_text(found));
        return;
    }
    fmt::print("{}", reach::site_search_text(found, colour_wanted(stdout)));
    if (allowed.left_out_count() > 0)
        fmt::print("left out of {} candidates: {}\n",
                   found.candidates.size() + static_cast<std::size_t>(allowed.left_out_count()),
                   site_set::left_out_text(allowed));
    if (sets) fmt::print("{}", site_set::site_sets_text(found, *sets, colour_wanted(stdout)));
    if (!arguments.new_plan.empty()) fmt::print("new plan: {}\n", arguments.new_plan);
    if (!arguments.out.empty()) fmt::print("map: {}/sites.html\n", arguments.out);
}

/// Rows over many grounds instead of the plan's one.
void write_rows(const ReachArguments& arguments, const plan::Plan& plan) {
    constexpr std::size_t grounds_bytes_max = 1'000'000'000;
    const field_request::GroundList list = field_request::read_grounds(
        base::read_input_file(arguments.grounds, "grounds as JSON, one a line", grounds_bytes_max),
        base::shown_path(arguments.grounds), arguments.part, "--part");
    base::OutputFile out(arguments.rows);
    Progress progress("grounds", list.grounds.size());
    reach::write_ground_rows(
        plan, {.plan_text = arguments.plan.text(), .settings = arguments.plan.settings}, list,
        arguments.options, [&](std::string_view text) { out.write(text); }, [&] { progress.advance(); });
    out.commit();
}

void run_reach(ReachArguments arguments) {
    const plan::Plan plan = arguments.plan.load();
    arguments.options.site_index = site_named(plan, arguments.site);
    arguments.options.threads = base::thread_count(arguments.threads);
    if (arguments.at_most && !arguments.grid_m && arguments.candidates.empty())
        throw base::InputError(base::InputProblem{.file = "--at-most",
                                                  .found = "neither --grid nor --candidates",
                                                  .allowed = "one of the two, to choose sites from"});
    if (arguments.grid_m || !arguments.candidates.empty()) {
        search(arguments, plan);
        return;
    }
    if (!arguments.grounds.empty()) {
        write_rows(arguments, plan);
        return;
    }
    const reach::Reach reach = reach::reach_of(plan, arguments.options);
    if (!arguments.out.empty()) {
        base::make_output_directory(arguments.out);
        const std::string folder = arguments.out + "/";
        base::write_output_file(folder + "reach.json", reach::reach_json_text(reach));
        for (const base::NamedText& table : reach::reach_tables(reach))
            base::write_output_file(folder + table.name, table.text);
        base::write_output_file(folder + "reach.html", reach::reach_html(reach));
    }
    fmt::print("{}", arguments.json ? reach::reach_json_text(reach)
                                    : reach::reach_text(reach, colour_wanted(stdout)));
    if (!arguments.out.empty() && !arguments.json) fmt::print("page: {}/reach.html\n", arguments.out);
}

}  // namespace

namespace {

void add_site_options(CLI::App& command, ReachArguments& arguments) {
    command.add_option(
        "--candidates", arguments.candidates,
        "Score the points of this file (GeoJSON or GPX) as sites instead; --site: for its stations only");
    command.add_option("--grid", arguments.grid_m,
                       "Score a grid of this step in m around the stations as sites instead");
    command.add_option("--margin", arguments.margin_m, "How far the grid goes beyond the stations, in m")
        ->capture_default_str();
    CLI::Option* at_most =
        command
            .add_option(
                "--at-most", arguments.at_most,
                "With --grid or --candidates: the best sets of up to so many sites, each station served by "
                "the best of them")
            ->check(CLI::Range(1, 20));
    command
        .add_option("--new-plan", arguments.new_plan,
                    "File for the plan with the sites of --at-most added and its stations served by them")
        ->needs(at_most);
}

}  // namespace

void add_reach(CLI::App& app, ExitCode&) {
    auto arguments = std::make_shared<ReachArguments>();
    CLI::App* command = app.add_subcommand(
        "reach", "Finds the offsets that are far enough for a plane wave and near enough for signal");
    add_plan_argument(*command, arguments->plan);
    command->add_option("--site", arguments->site, "Name of the site (default: the first)");
    command->add_option("--sectors", arguments->options.sector_count, "Directions looked at, in 180 degrees")
        ->capture_default_str();
    command->add_option("--from", arguments->options.offset_min_m,
                        "Nearest offset in m (default: 5 half widths of the loop, at least 20)");
    command->add_option("--to", arguments->options.offset_max_m, "Farthest offset in m (default: 10000)");
    command
        ->add_option("--hour", arguments->options.hour,
                     "Local hour, for the natural field (default: mid-day of the plan)")
        ->check(CLI::Range(0, 23));
    command->add_option("--out", arguments->out,
                        "Folder for reach.json, CSV tables and reach.html, "
                        "or for the search's files and its map sites.html (made if missing)");
    add_site_options(*command, *arguments);
    command->add_flag("--json", arguments->json,
                      "Print reach.json (or site_search.json, or site_sets.json) instead of text");
    CLI::Option* grounds = command->add_option(
        "--grounds", arguments->grounds,
        "Over each ground of this file instead of the plan's: JSON as in a field request's "
        "`model`, one a line, perhaps with a name; a row each into --rows");
    grounds->needs(
        command->add_option("--rows", arguments->rows, "File for the rows of --grounds")->needs(grounds));
    command
        ->add_option(
            "--part", arguments->part,
            "FIRST:COUNT: only these lines of --grounds, after the FIRST before them; see `ampturn merge`")
        ->needs(grounds);
    for (const char* other : {"--out", "--candidates", "--grid", "--at-most", "--json"})
        grounds->excludes(command->get_option(other));
    command->add_option("--threads", arguments->threads, "Threads (results do not depend on it; 0: all)")
        ->capture_default_str();
    command->footer(
        "The bias swings through zero with offset, so every interval is listed. "
        "Where no offset serves, it says\n"
        "what would open a window: more moment, longer dwell, more bias accepted, another hour.\n\n"
        "Examples:\n  ampturn reach demo/quick.toml\n"
        "  ampturn reach demo/vesslarook.toml --site \"East mast\" --out out\n"
        "  ampturn reach demo/vesslarook.toml --grid 200 --out out\n"
        "  ampturn reach demo/vesslarook.toml --grid 100 --at-most 3 --new-plan found.toml\n"
        "  ampturn reach demo/quick.toml --grounds grounds.jsonl --part 200:100 --rows part-200.jsonl");
    command->callback([arguments] { run_reach(*arguments); });
}

}  // namespace ampturn::cli
