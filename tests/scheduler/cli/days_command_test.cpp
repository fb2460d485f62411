#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// Several days in one plan, through the real program.

namespace days_command_test {

using ampturn::test::ProgramResult;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

const std::string program = ampturn::test::program_path("ampturn");
const std::string quick = ampturn::test::source_path("demo/quick.toml");
const std::string three_days = ampturn::test::source_path("demo/three_days.toml");

std::string with(const std::string& more) { return read_whole_file(quick) + more; }

// demo/quick.toml with `more` behind it is refused in one line that names line and key of `where` and holds `words`.
void expect_refused(const std::string& more, const std::string& where,
                    const std::vector<std::string>& words) {
    const ScratchDirectory scratch;
    const std::string text = with(more), path = scratch.write("plan.toml", text);
    for (const char* command : {"check", "days"}) {
        const ProgramResult result = run_program(program, {command, path});
        EXPECT_EQ(result.exit_code, 2) << result.out << result.err;
        EXPECT_EQ(result.out, "");
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
        const auto line =
            std::count(text.begin(), text.begin() + static_cast<long>(text.rfind(where)), '\n') + 1;
        EXPECT_THAT(result.err, StartsWith(fmt::format("ampturn: {}:{}:", path, line)));
        for (const std::string& word : words) EXPECT_THAT(result.err, HasSubstr(word));
    }
}

const std::string one_day = "\n[[survey_day]]\ndate = 2031-06-02\nstations = [\"near\"]\n";
const std::string second = "[[survey_day]]\ndate = 2031-06-03\n";

TEST(DaysCommand, RefusesDatesThatDoNotRise) {
    expect_refused(one_day + "[[survey_day]]\ndate = 2031-06-02\n", "date = 2031-06-02",
                   {"survey_day[2].date: found 2031-06-02, allowed a date after 2031-06-02"});
    expect_refused(one_day + "[[survey_day]]\ndate = 2031-05-31\n", "date = 2031-05-31",
                   {"survey_day[2].date: found 2031-05-31, allowed a date after 2031-06-02"});
    expect_refused(one_day + "[[survey_day]]\nstart = \"09:00\"\n", "[[survey_day]]",
                   {"survey_day[2].date: found nothing"});
    expect_refused("\n[[survey_day]]\ndate = 2031-06-02\nstart = \"20:00\"\nend = \"09:00\"\n" + second +
                       "start = \"08:00\"\n",
                   "start = \"08:00\"",
                   {"survey_day[2].start: found 08:00:00", "before the day before ends"});
    expect_refused("\n[[survey_day]]\ndate = 2031-06-02\nstart = \"08:00\"\nend = \"08:00\"\n",
                   "end = \"08:00\"", {"survey_day[1].end", "differ"});
}

TEST(DaysCommand, RefusesStationsThatDoNotFit) {
    expect_refused(one_day + second + "stations = [\"far\", \"near\"]\n", "stations = [\"far\"",
                   {"survey_day[2].stations[2]: found \"near\", a station of 2031-06-02 already"});
    expect_refused(one_day + second + "stations = [\"faar\"]\n", "stations = [\"faar\"",
                   {"survey_day[2].stations[1]: found \"faar\"", "for example \"far\""});
    expect_refused("\n[[survey_day]]\ndate = 2031-06-02\nstations = [\"far\", \"far\"]\n",
                   "stations = [\"far\"", {"survey_day[1].stations[2]", "already"});
}

TEST(DaysCommand, RefusesChargingThatCannotBe) {
    expect_refused(one_day + "[charging]\nhours = 8\n", "[charging]", {"charging.charger_w: found nothing"});
    expect_refused(one_day + "[charging]\ncharger_w = 0\nhours = 8\n", "charger_w = 0",
                   {"charging.charger_w: found 0", "above 0"});
    expect_refused(one_day + "[charging]\ncharger_w = 80\n", "[charging]", {"charging.hours: found nothing"});
    expect_refused(one_day + "[charging]\ncharger_w = 80\nhours = 25\n", "hours = 25",
                   {"charging.hours: found 25", "24 h"});
    expect_refused(one_day + "[charging]\ncharger_w = 80\nhours = 8\nplace_temperature_c = -3\n",
                   "place_temperature_c", {"charging.place_temperature_c: found -3", "0 to 45 C"});
    for (const char* supply : {"generator", "vehicle"}) {
        const std::string table =
            fmt::format("[charging]\ncharger_w = 80\nhours = 8\nsupply = \"{}\"\n", supply);
        expect_refused(one_day + table + "supply_wh = 900\n", "[charging]",
                       {"charging.supply_w: found nothing", supply});
        expect_refused(one_day + table + "supply_w = 900\n", "[charging]",
                       {"charging.supply_wh: found nothing", supply});
    }
    expect_refused("\n[[survey_day]]\ndate = 2031-06-02\ncharge = true\n", "charge = true",
                   {"survey_day[1].charge: found true", "[charging]"});
}

TEST(DaysCommand, RefusesPlansOfAnotherKindAndWritesNothing) {
    const ScratchDirectory scratch;
    const std::string out = scratch.file("out");
    const ProgramResult none = run_program(program, {"days", quick, "--out", out});
    EXPECT_EQ(none.exit_code, 2);
    EXPECT_EQ(std::count(none.err.begin(), none.err.end(), '\n'), 1) << none.err;
    EXPECT_THAT(none.err, HasSubstr("survey_day: found nothing, allowed [[survey_day]] tables"));
    EXPECT_FALSE(std::filesystem::exists(out));
    const std::string charging =
        scratch.write("plan.toml", with("\n[charging]\ncharger_w = 80\nhours = 8\n"));
    const ProgramResult alone = run_program(program, {"check", charging});
    EXPECT_EQ(alone.exit_code, 2);
    EXPECT_THAT(alone.err, HasSubstr("charging: found a table in a plan of one day"));
}

TEST(DaysCommand, OneDayOfSeveralByItsDate) {
    const auto refused = [&](const std::vector<std::string>& words) {
        const ProgramResult result = run_program(program, words);
        EXPECT_EQ(result.exit_code, 2);
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
        return result.err;
    };
    EXPECT_THAT(
        refused({"day", three_days}),
        HasSubstr("--date: found nothing, with 3 survey days in the plan, allowed one of their dates, "
                  "2031-06-02 to 2031-06-05; all of them: `ampturn days`"));
    EXPECT_THAT(refused({"day", three_days, "--date", "2031-06-04"}), HasSubstr("the date of a survey day"));
    EXPECT_THAT(refused({"day", three_days, "--date", "2031-06-02"}), HasSubstr("no stations of its own"));
    EXPECT_THAT(refused({"day", quick, "--date", "2031-06-02"}),
                HasSubstr("a plan with [[survey_day]] tables"));
    EXPECT_THAT(refused({"day", three_days, "--make-it-go"}), HasSubstr("survey_day: found 3 of them"));
    const ProgramResult day = run_program(program, {"day", three_days, "--date", "2031-06-05", "--json"});
    ASSERT_EQ(day.exit_code, 0) << day.err;
    const auto json = nlohmann::json::parse(day.out);
    EXPECT_EQ(json["date"], "2031-06-05");
    ASSERT_EQ(json["stations"].size(), 3u);
    EXPECT_EQ(json["stations"][0]["name"], "H6");
    EXPECT_EQ(run_program(program, {"check", three_days}).exit_code, 0);
}

// Identity: a plan of one survey day, and that day by itself, are the same files byte for byte.
TEST(DaysCommand, FolderOfADayIsThatDaysOwn) {
    const ScratchDirectory scratch;
    const std::string plan = scratch.write(
        "plan.toml", with("\n[[survey_day]]\ndate = 2031-06-02\nstations = [\"far\", \"near\"]\n"));
    const ProgramResult days =
        run_program(program, {"days", plan, "--seed", "3", "--out", scratch.file("days")});
    ASSERT_EQ(days.exit_code, 0) << days.err;
    const ProgramResult day = run_program(
        program, {"day", plan, "--date", "2031-06-02", "--seed", "3", "--out", scratch.file("day")});
    ASSERT_EQ(day.exit_code, 0) << day.err;
    int files = 0;
    for (const auto& file : std::filesystem::directory_iterator(scratch.file("day"))) {
        const std::filesystem::path other = scratch.path() / "days" / "2031-06-02" / file.path().filename();
        EXPECT_EQ(read_whole_file(file.path()), read_whole_file(other)) << other;
        ++files;
    }
    EXPECT_GE(files, 11);
    EXPECT_TRUE(std::filesystem::exists(scratch.file("days/2031-06-02/field_sheet.html")));
    EXPECT_TRUE(std::filesystem::exists(scratch.file("days/2031-06-02/day.ics")));
}

TEST(DaysCommand, WritesCalendarTablesAndChances) {
    const ScratchDirectory scratch;
    const std::vector<std::string> words{"days", three_days, "--draws", "12", "--seed", "7"};
    const auto run = [&](const std::string& name, const std::string& threads) {
        std::vector<std::string> all = words;
        all.insert(all.end(), {"--threads", threads, "--out", scratch.file(name)});
        const ProgramResult result = run_program(program, all);
        EXPECT_EQ(result.exit_code, 0) << result.err;
        return result.out;
    };
    EXPECT_THAT(run("one", "1"), HasSubstr("12 draws of the whole survey, seed 7"));
    run("two", "2");
    int files = 0;
    for (const auto& file : std::filesystem::recursive_directory_iterator(scratch.path() / "one")) {
        if (!file.is_regular_file()) continue;
        const auto relative = std::filesystem::relative(file.path(), scratch.path() / "one");
        EXPECT_EQ(read_whole_file(file.path()), read_whole_file(scratch.path() / "two" / relative))
            << relative;
        ++files;
    }
    EXPECT_GE(files, 6 + 3 * 13);
    const auto json = nlohmann::json::parse(read_whole_file(scratch.file("one/days.json")));
    EXPECT_EQ(json["schema"], "ampturn.days");
    ASSERT_EQ(json["days"].size(), 3u);
    EXPECT_EQ(json["chances"]["draws"], 12);
    // What the days did is what the stations say, and what the page says.
    std::size_t done = 0;
    for (const auto& day : json["days"]) done += day["done"].size();
    std::size_t dated = 0;
    for (const auto& station : json["stations"]) dated += !station["done_on"].is_null();
    EXPECT_EQ(done, dated);
    EXPECT_EQ(dated + json["open"].size(), 8u);
    const std::string page = read_whole_file(scratch.file("one/days.html"));
    EXPECT_THAT(page, HasSubstr("2031-06-05/report.html"));
    EXPECT_THAT(page, HasSubstr("hydrogen"));
    EXPECT_THAT(page, HasSubstr("carbon monoxide"));
    EXPECT_THAT(page, HasSubstr("No charging below 0 C"));
    EXPECT_THAT(page, Not(HasSubstr("{{")));
    for (const auto& finding : json["findings"]) EXPECT_FALSE(finding.get<std::string>().empty());
    // Calendar files of two days have no event in common.
    EXPECT_THAT(read_whole_file(scratch.file("one/2031-06-02/field_sheet.html")), Not(HasSubstr("site east")))
        << "no page for a site where nobody stands";
    const std::string first = read_whole_file(scratch.file("one/2031-06-02/day.ics"));
    EXPECT_THAT(first, HasSubstr("-2031-06-02-1@ampturn.invalid"));
}

TEST(DaysCommand, StrictSaysWhetherAllIsDone) {
    const ScratchDirectory scratch;
    const std::string short_plan =
        scratch.write("plan.toml", with("\n[[survey_day]]\ndate = 2031-06-02\nstations = [\"near\"]\n"));
    EXPECT_EQ(run_program(program, {"days", short_plan, "--strict", "--summary"}).exit_code, 1);
    const std::string long_plan = scratch.write(
        "long.toml", with("\n[[survey_day]]\ndate = 2031-06-02\n[[survey_day]]\ndate = 2031-06-03\n"));
    const ProgramResult result = run_program(program, {"days", long_plan, "--strict", "--summary"});
    EXPECT_EQ(result.exit_code, 0) << result.err;
    EXPECT_THAT(result.out, HasSubstr("All 2 stations are done on 2031-06-02, day 1 of 2."));
    EXPECT_THAT(result.out, HasSubstr("Nothing is left to do that no later day names on: 2031-06-03."));
}

TEST(DaysCommand, PlansToMeasureWithAreFine) {
    const ScratchDirectory scratch;
    const std::string plan = scratch.file("plan.toml");
    const ProgramResult made = run_program("/usr/bin/env",
                                           {"python3", ampturn::test::source_path("bench/many_days_plan"),
                                            "--days", "3", "--stations", "12", "--frequencies", "4"},
                                           plan);
    ASSERT_EQ(made.exit_code, 0) << made.err;
    const ProgramResult days = run_program(program, {"days", plan, "--summary"});
    ASSERT_EQ(days.exit_code, 0) << days.err;
    EXPECT_THAT(days.out, HasSubstr("Many days (INVENTED SCENARIO), 3 days from 2031-06-02 to 2031-06-04"));
}

}  // namespace days_command_test
