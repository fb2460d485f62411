#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// reach, tune, day, compare and sheet through the real program: what is wrong with a command line is said in
// one line with exit code 2, and nothing is written; what is right writes what it says.

namespace planning_commands_test {

using ampturn::test::ProgramResult;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using testing::HasSubstr;

const std::string program = ampturn::test::program_path("ampturn");
const std::string quick = ampturn::test::source_path("demo/quick.toml");

std::vector<std::string> names_in(const std::filesystem::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

struct Refused {
    std::vector<std::string> arguments;  // OUT: a folder or file not there yet, below a scratch directory
    std::string says;
};

/// Five of an invented survey.
const std::string grounds = ampturn::test::source_path("demo/grounds.jsonl");

void expect_refused(const Refused& refused) {
    const ScratchDirectory scratch;
    std::vector<std::string> arguments = refused.arguments;
    for (std::string& argument : arguments)
        if (argument == "OUT") argument = scratch.file("out");
    const ProgramResult result = run_program(program, arguments);
    const std::string line = testing::PrintToString(refused.arguments);
    EXPECT_EQ(result.exit_code, 2) << line << result.out << result.err;
    EXPECT_EQ(result.out, "") << line;
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << line << result.err;
    EXPECT_THAT(result.err, HasSubstr(refused.says)) << line;
    EXPECT_THAT(names_in(scratch.path()), testing::IsEmpty()) << line;
}

TEST(PlanningCommands, ReachRefusesWhatItCannotDo) {
    for (const Refused& refused : std::vector<Refused>{
             {{"reach"}, "PLAN"},
             {{"reach", "/nonexistent.toml", "--out", "OUT"}, "/nonexistent.toml"},
             {{"reach", quick, "--out", "OUT", "--sectors", "0"}, "--sectors: found 0, allowed 1 to 36"},
             {{"reach", quick, "--out", "OUT", "--sectors", "six"}, "--sectors"},
             {{"reach", quick, "--out", "OUT", "--from", "500", "--to", "100"}, "rising offsets"},
             {{"reach", quick, "--out", "OUT", "--from", "3"}, "20 m to 19000 m"},
             {{"reach", quick, "--out", "OUT", "--to", "1e6"}, "20 m to 19000 m"},
             {{"reach", quick, "--out", "OUT", "--hour", "24"}, "--hour"},
             {{"reach", quick, "--out", "OUT", "--site", "Nowhere"},
              "--site: found \"Nowhere\", allowed \"T\""},
             {{"reach", quick, "--out", "OUT", "--grid", "0.1"}, "--grid, --margin"},
             {{"reach", quick, "--out", "OUT", "--grid", "-5"}, "--grid, --margin"},
             {{"reach", quick, "--out", "OUT", "--grid", "100", "--candidates", "p.gpx"}, "one of the two"},
             {{"reach", quick, "--out", "OUT", "--candidates", "/nonexistent.gpx"}, "/nonexistent.gpx"},
             {{"reach", quick, "--out", "OUT", "--candidates", quick}, "quick.toml"},
             {{"reach", quick, "--out", "OUT", "--no-such-flag"}, "--no-such-flag"},
             {{"reach", quick, "--out", "OUT", "--set", "targets.elements=[\"zz\"]"}, "targets.elements"},
             {{"reach", quick, "--grounds", grounds}, "--rows"},
             {{"reach", quick, "--rows", "OUT"}, "--grounds"},
             {{"reach", quick, "--part", "0:1"}, "--grounds"},
             {{"reach", quick, "--grounds", grounds, "--rows", "OUT", "--json"}, "--json"},
             {{"reach", quick, "--grounds", grounds, "--rows", "OUT", "--part", "3:9"},
              "--part: found 3:9, allowed FIRST:COUNT, FIRST from 0, together at most the 5 of "},
             {{"reach", quick, "--grounds", quick, "--rows", "OUT"},
              "quick.toml:1:1: found text that is not JSON, allowed a ground as JSON, one a line"},
             {{"reach", quick, "--grounds", "/nonexistent.jsonl", "--rows", "OUT"}, "/nonexistent.jsonl"},
             {{"reach", quick, "--grounds", grounds, "--rows", "/proc/rows"}, "/proc/rows"},
             {{"reach", quick, "--out", "/proc/out"}, "/proc/out"}})
        expect_refused(refused);
}

TEST(PlanningCommands, FieldsRefuseListsOfGroundsTheyCannotUse) {
    const ScratchDirectory scratch;
    const std::string points =
        scratch.write("points.json", R"({"wavenumbers": "full", "frequencies_Hz": [1000],
        "sources": [{"moment_A_m2": [1, 0, 0], "source_height_m": 3}], "receivers": {"x_m": [300], "y_m": 0}})");
    const std::string own = scratch.write("own.json", R"({"model": {}, "frequencies_Hz": [1000]})");
    const std::string wrong = scratch.write(
        "wrong.jsonl",
        "{\"resistivity_ohm_m\": [9], \"thickness_m\": []}\n{\"resistivity_ohm_m\": [0], \"thickness_m\": []}\n");
    const std::string cases = ampturn::test::source_path("tests/reference/em/cases_open.json");
    for (const Refused& refused : std::vector<Refused>{
             {{"fields", points, "--out", "OUT"}, "both or neither of model and models"},
             {{"fields", own, "--grounds", grounds, "--out", "OUT"},
              "own.json:1:1: found model or models beside"},
             {{"fields", cases, "--grounds", grounds, "--out", "OUT"},
              "--grounds: found a list of grounds for cases"},
             {{"fields", points, "--grounds", grounds, "--check"}, "--check"},
             {{"fields", points, "--part", "0:1", "--out", "OUT"}, "--grounds"},
             {{"fields", points, "--grounds", grounds, "--part", "1", "--out", "OUT"},
              "--part: found 1, allowed FIRST"},
             {{"fields", points, "--grounds", wrong, "--out", "OUT"},
              "wrong.jsonl:2:24: resistivity_ohm_m[0]: found 0, allowed"},
             {{"fields", points, "--grounds", "/nonexistent", "--out", "OUT"}, "/nonexistent"}})
        expect_refused(refused);
}

TEST(PlanningCommands, MergeOfGroundsRefusesWhatItCannotDo) {
    const ScratchDirectory scratch;
    const std::string rows = scratch.file("rows.jsonl");
    ASSERT_EQ(run_program(program, {"reach", quick, "--grounds", grounds, "--part", "0:2", "--rows", rows})
                  .exit_code,
              0);
    for (const Refused& refused : std::vector<Refused>{
             {{"merge", rows}, "--out: found nothing"},
             {{"merge", rows, "--out", "OUT", "--runs", "5"}, "--runs: found with parts of a list"},
             {{"merge", rows, "--out", "OUT"}, "found no part with the grounds 3 to 5, allowed "},
             {{"merge", rows, quick, "--out", "OUT"}, "quick.toml:1: found something else"}})
        expect_refused(refused);
}

TEST(PlanningCommands, TuneRefusesWhatItCannotDo) {
    for (const Refused& refused : std::vector<Refused>{
             {{"tune"}, "PLAN"},
             {{"tune", "/nonexistent.toml", "--out", "OUT"}, "/nonexistent.toml"},
             {{"tune", quick, "--out", "OUT", "--minimise", "money"}, "--minimise"},
             {{"tune", quick, "--out", "OUT", "--margin", "1.5"}, "--margin: found 1.5, allowed 0 to 0.9"},
             {{"tune", quick, "--out", "OUT", "--margin", "-0.1"}, "--margin"},
             {{"tune", quick, "--out", "OUT", "--set", "sweep.time_budget_s=1"}, "sweep.time_budget_s"},
             {{"tune", quick, "--out", "OUT", "--set", "sweep.energy_budget_wh=1e-6"},
              "sweep.energy_budget_wh"},
             {{"tune", quick, "--out", "OUT", "--threads", "-1"}, "--threads"},
             {{"tune", quick, "--quick", "--new-plan", "/proc/plan.toml"}, "/proc/plan.toml"}})
        expect_refused(refused);
}

TEST(PlanningCommands, DayRefusesWhatItCannotDo) {
    for (const Refused& refused : std::vector<Refused>{
             {{"day"}, "PLAN"},
             {{"day", "/nonexistent.toml", "--out", "OUT"}, "/nonexistent.toml"},
             {{"day", quick, "--out", "OUT", "--start", "25:00"}, "--start: found \"25:00\""},
             {{"day", quick, "--out", "OUT", "--start", "soon"}, "hh:mm"},
             {{"day", quick, "--out", "OUT", "--temperature", "99"}, "--temperature"},
             {{"day", quick, "--out", "OUT", "--batteries", "0"}, "--batteries: found 0"},
             {{"day", quick, "--out", "OUT", "--runs", "0"}, "--runs"},
             {{"day", quick, "--out", "OUT", "--runs", "1e9"}, "--runs"},
             {{"day", quick, "--out", "OUT", "--seed", "-1"}, "--seed"},
             {{"day", quick, "--out", "OUT", "--order", "shortest"}, "--order"},
             {{"day", quick, "--out", "OUT", "--order"}, "--order"},
             {{"day", quick, "--out", "/proc/out"}, "/proc/out"}})
        expect_refused(refused);
}

TEST(PlanningCommands, DrawsAndMergeRefuseWhatTheyCannotDo) {
    for (const Refused& refused : std::vector<Refused>{
             {{"day", quick, "--draws", "5", "--rows", "OUT"}, "FIRST:COUNT"},
             {{"day", quick, "--draws", "0:0", "--rows", "OUT"}, "FIRST:COUNT"},
             {{"day", quick, "--draws", "999999:2", "--rows", "OUT"}, "1000000"},
             {{"day", quick, "--draws", "0:5"}, "--rows"},
             {{"day", quick, "--draws", "0:5", "--rows", "OUT", "--runs", "5"}, "--runs"},
             {{"day", quick, "--draws", "0:5", "--rows", "OUT", "--start", "25:00"}, "--start"},
             {{"merge"}, "PART"},
             {{"merge", "/nowhere.jsonl"}, "/nowhere.jsonl"},
             {{"merge", quick}, "quick.toml:1"}})
        expect_refused(refused);
}

TEST(PlanningCommands, CompareAndSheetRefuseWhatTheyCannotDo) {
    for (const Refused& refused :
         std::vector<Refused>{{{"compare"}, "PLAN_A"},
                              {{"compare", quick}, "PLAN_B"},
                              {{"compare", quick, "/nonexistent.toml"}, "/nonexistent.toml"},
                              {{"compare", quick, quick, quick}, "quick.toml"},
                              {{"compare", quick, quick, "--out", "/proc/out"}, "/proc/out"},
                              {{"sheet"}, "PLAN"},
                              {{"sheet", "/nonexistent.toml", "--out", "OUT"}, "/nonexistent.toml"},
                              {{"sheet", quick, "--out", "OUT", "--calendar", "day.ics"}, "survey.date"},
                              {{"sheet", quick, "--out", "/proc/sheet.html"}, "/proc/sheet.html"},
                              {{"sheet", quick, "--out", "OUT", "--seed", "x"}, "--seed"},
                              {{"sheet", quick, "--out", "OUT", "--seed", "-1"}, "--seed"},
                              {{"compare", quick, quick, "--out", "OUT", "--seed", "-1"}, "--seed"}})
        expect_refused(refused);
}

TEST(PlanningCommands, WriteWhatTheySay) {
    const ScratchDirectory scratch;
    const auto files = [&](const std::string& folder, std::vector<std::string> arguments) {
        arguments.insert(arguments.end(), {"--out", scratch.file(folder)});
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 0) << result.err;
        return names_in(scratch.file(folder));
    };
    EXPECT_THAT(files("reach", {"reach", quick, "--sectors", "2"}),
                testing::ElementsAre("reach.csv", "reach.html", "reach.json", "reach_intervals.csv"));
    EXPECT_THAT(files("sites", {"reach", quick, "--grid", "200", "--margin", "200"}),
                testing::ElementsAre("site_candidates.csv", "site_search.json", "sites.html"));
    EXPECT_THAT(files("tune", {"tune", quick, "--quick"}),
                testing::ElementsAre("tune.csv", "tune.html", "tune.json"));
    EXPECT_THAT(files("compare", {"compare", quick, quick}),
                testing::ElementsAre("compare.html", "compare.json"));
    const auto day = files("day", {"day", quick, "--order", "improved", "--runs", "2"});
    for (const char* name : {"day.json", "monte_carlo.json", "battery_percentiles.csv", "report.html"})
        EXPECT_THAT(day, testing::Contains(name));
    const auto json = nlohmann::json::parse(read_whole_file(scratch.file("day") + "/day.json"));
    EXPECT_TRUE(json.at("station_order").at("exact").get<bool>());
}

TEST(PlanningCommands, JsonIsAllThatIsPrinted) {
    for (const std::vector<std::string>& arguments :
         {std::vector<std::string>{"reach", quick, "--sectors", "1", "--json"},
          {"reach", quick, "--grid", "300", "--margin", "300", "--json"},
          {"tune", quick, "--quick", "--json"},
          {"compare", quick, quick, "--json"},
          {"day", quick, "--order", "improved", "--json"}}) {
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 0) << result.err;
        EXPECT_TRUE(nlohmann::json::accept(result.out)) << testing::PrintToString(arguments);
    }
}

}  // namespace planning_commands_test
