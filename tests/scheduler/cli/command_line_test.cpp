#include "scheduler/cli/command_line.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "scheduler/cli/arguments/terminal.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace command_line_test {

using namespace ampturn::cli;
using namespace ampturn::cli::arguments;
using ampturn::test::ProgramResult;
using ampturn::test::run_program;
using testing::HasSubstr;

const std::string program = ampturn::test::program_path("ampturn");

TEST(CommandLine, EveryCommandShowsAnExample) {
    ExitCode result = ExitCode::fine;
    const auto app = make_command_line(result);
    for (const CLI::App* command : app->get_subcommands({})) {
        EXPECT_FALSE(command->get_description().empty()) << command->get_name();
        EXPECT_THAT(command->get_footer(), HasSubstr("ampturn " + command->get_name()))
            << command->get_name();
        const ProgramResult help = run_program(program, {command->get_name(), "--help"});
        EXPECT_EQ(help.exit_code, 0);
        EXPECT_THAT(help.out, HasSubstr("Example"));
        EXPECT_EQ(help.err, "");
    }
}

TEST(CommandLine, VersionNamesTheCommit) {
    const ProgramResult result = run_program(program, {"--version"});
    EXPECT_EQ(result.exit_code, 0);
    EXPECT_THAT(result.out,
                testing::MatchesRegex(
                    "ampturn [0-9.]+ \\([0-9a-f]+(-changed)?\\)\n|ampturn [0-9.]+ \\(unknown\\)\n"));
}

TEST(CommandLine, HelpNamesTheExitCodes) {
    const ProgramResult result = run_program(program, {"--help"});
    EXPECT_EQ(result.exit_code, 0);
    EXPECT_THAT(result.out, HasSubstr("Exit codes: 0 fine, 1 the plan fails"));
}

TEST(CommandLine, ExplainIsTheConfigurationPage) {
    const std::string page =
        ampturn::test::read_whole_file(ampturn::test::source_path("docs/configuration.md"));
    const ProgramResult result = run_program(program, {"explain", "--markdown"});
    EXPECT_EQ(result.out, page) << "make it again: ampturn explain --markdown --out docs/configuration.md";
}

TEST(CommandLine, FieldsOfPointsInThreeFormats) {
    const ampturn::test::ScratchDirectory folder;
    const std::string request = folder.write(
        "request.json",
        R"({"model": {"resistivity_ohm_m": [100], "thickness_m": []}, "wavenumbers": "full", "frequencies_Hz": [1000, 4000],
            "sources": [{"moment_A_m2": [500, 0, 0], "source_height_m": 3}], "receivers": {"offset_m": [200, 400, 800], "bearing_deg": 30}})");
    const ProgramResult csv = run_program(program, {"fields", request, "--format", "csv"});
    EXPECT_EQ(csv.exit_code, 0) << csv.err;
    EXPECT_EQ(std::count(csv.out.begin(), csv.out.end(), '\n'), 7);
    const std::string data = folder.file("x.f64");
    EXPECT_EQ(run_program(program, {"fields", request, "--format", "float64", "--out", data}).exit_code, 0);
    EXPECT_EQ(std::filesystem::file_size(data), 6u * 14 * 8);
    EXPECT_THAT(ampturn::test::read_whole_file(data + ".json"), HasSubstr("\"data\": \"x.f64\""));
    const std::string cases = ampturn::test::source_path("tests/reference/em/cases_open.json");
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"fields", request, "--format", "float64"},
          {"fields", request, "--format", "xml"},
          {"fields", request, "--check"},
          {"fields", cases, "--format", "csv"}}) {
        const ProgramResult refused = run_program(program, words);
        EXPECT_EQ(refused.exit_code, 2) << words.back();
        EXPECT_EQ(std::count(refused.err.begin(), refused.err.end(), '\n'), 1) << refused.err;
        EXPECT_EQ(refused.out, "");
    }
}

TEST(CommandLine, ExplainOneKey) {
    const ProgramResult result = run_program(program, {"explain", "station[3].offset_m"});
    EXPECT_EQ(result.exit_code, 0);
    EXPECT_THAT(result.out, HasSubstr("station.offset_m"));
    EXPECT_THAT(result.out, HasSubstr("unit     m\n"));
    const ProgramResult table = run_program(program, {"explain", "battery"});
    EXPECT_THAT(table.out, HasSubstr("battery.cut_off_v"));
}

TEST(CommandLine, ExplainAWord) {
    const ProgramResult result = run_program(program, {"explain", "Mains"});
    EXPECT_EQ(result.exit_code, 0) << result.err;
    EXPECT_THAT(result.out, HasSubstr("noise.mains_hz  [Hz]\n"));
    EXPECT_EQ(result.out.find("battery.cut_off_v"), std::string::npos);
    EXPECT_EQ(run_program(program, {"explain", "xyzzy"}).exit_code, 2);
}

TEST(CommandLine, PlanFromStandardInput) {
    const std::string plan = ampturn::test::source_path("demo/quick.toml");
    const ProgramResult result = run_program("/bin/sh", {"-c", program + " check - <" + plan});
    EXPECT_EQ(result.exit_code, 0) << result.err;
    EXPECT_THAT(result.out, testing::StartsWith("standard input: a valid plan"));
    const ProgramResult wrong =
        run_program("/bin/sh", {"-c", "echo '[survey]\nnmae = 1' | " + program + " check -"});
    EXPECT_EQ(wrong.exit_code, 2);
    EXPECT_THAT(wrong.err, HasSubstr("ampturn: standard input:2:1: survey.nmae"));
    EXPECT_EQ(run_program("/bin/sh", {"-c", program + " compare - - <" + plan}).exit_code, 2);
}

TEST(CommandLine, CheckRemarksOnTheMainsClash) {
    // 41 x 50 Hz = 2050 Hz: tests/reference/field/binary_frequency_clash.csv has the row 2048,50,41,-2,CLASH.
    const ProgramResult result =
        run_program(program, {"check", ampturn::test::source_path("demo/vesslarook.toml")});
    EXPECT_EQ(result.exit_code, 0);
    EXPECT_THAT(result.out,
                HasSubstr("remark: 2048 Hz, sent as 2048.1311 Hz, lies 1.87 Hz from 2050 Hz, harmonic 41"))
        << "24 MHz over the even divisor 11718 is 2048.1311 Hz";
    EXPECT_EQ(std::count(result.out.begin(), result.out.end(), '\n'), 6)
        << "definition: the verdict, this, the dipoles, the ways without a leg, the cold and the field strength\n"
        << result.out;
    // Definition: a verdict on field strength is a remark that sends to the authority.
    EXPECT_THAT(result.out, HasSubstr("emission.limit_tables: remark: Radio: ERC/REC 70-03 annex 9"));
    EXPECT_THAT(result.out, HasSubstr("not legal advice: ask the licensing authority"));
}

TEST(CommandLine, RehearseRefusesANaturalFieldWithADirection) {
    const std::string plan = ampturn::test::source_path("demo/quick.toml");
    const ProgramResult survey =
        run_program(program, {"rehearse", plan, "--set", "noise.natural_azimuth_deg=30"});
    EXPECT_EQ(survey.exit_code, 2);
    EXPECT_THAT(survey.err,
                HasSubstr("noise.natural_azimuth_deg: found a direction, allowed none in a rehearsal"));
    const ProgramResult station =
        run_program(program, {"rehearse", plan, "--set", "station[2].natural_azimuth_deg=30"});
    EXPECT_EQ(station.exit_code, 2);
    EXPECT_THAT(station.err, HasSubstr("station[2].natural_azimuth_deg: found a direction"));
}

TEST(Terminal, NoColourOffTerminal) {
    std::FILE* file = std::tmpfile();
    ASSERT_NE(file, nullptr);
    EXPECT_FALSE(is_terminal(file));
    EXPECT_FALSE(colour_wanted(file));
    std::fclose(file);
}

// On a pseudo-terminal the program colours its errors, unless NO_COLOR is set.
class OnTerminal : public testing::Test {
  protected:
    void SetUp() override {
        main_ = ::posix_openpt(O_RDWR | O_NOCTTY);
        ASSERT_GE(main_, 0);
        ASSERT_EQ(::grantpt(main_), 0);
        ASSERT_EQ(::unlockpt(main_), 0);
        terminal_ = std::fopen(::ptsname(main_), "r+");
        ASSERT_NE(terminal_, nullptr);
    }
    void TearDown() override {
        std::fclose(terminal_);
        ::close(main_);
        ::unsetenv("NO_COLOR");
    }
    int main_ = -1;
    std::FILE* terminal_ = nullptr;
};

TEST_F(OnTerminal, ColourUnlessToldNotTo) {
    ::setenv("TERM", "xterm", 1);
    ::unsetenv("NO_COLOR");
    EXPECT_TRUE(is_terminal(terminal_));
    EXPECT_TRUE(colour_wanted(terminal_));
    ::setenv("NO_COLOR", "", 1);
    EXPECT_TRUE(colour_wanted(terminal_));
    ::setenv("NO_COLOR", "1", 1);
    EXPECT_FALSE(colour_wanted(terminal_));
    ::unsetenv("NO_COLOR");
    ::setenv("TERM", "dumb", 1);
    EXPECT_FALSE(colour_wanted(terminal_));
}

}  // namespace command_line_test
