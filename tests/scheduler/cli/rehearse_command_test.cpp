#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <csignal>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// `ampturn rehearse` and `ampturn tune --for-question` as a person runs them: what is wrong is said in one
// line, with exit code 2 and nothing written; what is right is written whole.

namespace rehearse_command_test {

using ampturn::test::ProgramResult;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using testing::HasSubstr;
using testing::StartsWith;

const std::string program = ampturn::test::program_path("ampturn");
const std::string quick = ampturn::test::source_path("demo/quick.toml");
const std::string fell = ampturn::test::source_path("demo/vesslarook.toml");

struct Wrong {
    std::vector<std::string> arguments;
    std::vector<std::string> words;
};

void expect_refused(const Wrong& wrong) {
    const ScratchDirectory scratch;
    std::vector<std::string> arguments = wrong.arguments;
    arguments.insert(arguments.end(), {"--out", scratch.file("out")});
    const ProgramResult result = run_program(program, arguments);
    EXPECT_EQ(result.exit_code, 2) << result.out << result.err;
    EXPECT_EQ(result.out, "");
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    EXPECT_THAT(result.err, StartsWith("ampturn: "));
    for (const std::string& word : wrong.words) EXPECT_THAT(result.err, HasSubstr(word));
    EXPECT_TRUE(std::filesystem::is_empty(scratch.path())) << "nothing written: " << wrong.arguments.back();
}

TEST(RehearseCommand, RefusesWhatCannotBe) {
    const Wrong all[] = {
        {{"rehearse", "/nonexistent/plan.toml"}, {"/nonexistent/plan.toml", "nothing that can be read"}},
        {{"rehearse", quick, "--station", "nowhere"}, {"--station", "\"nowhere\"", "name of a station"}},
        {{"rehearse", quick, "--runs", "0"}, {"--runs", "1"}},
        {{"rehearse", quick, "--runs", "many"}, {"--runs", "many"}},
        {{"rehearse", quick, "--seed", "-1"}, {"--seed"}},
        {{"rehearse", quick, "--spectra", "0"}, {"--spectra", "1"}},
        {{"rehearse", quick, "--spectra", "3", "--keep", "series"}, {"--spectra", "--keep"}},
        {{"rehearse", quick, "--spectra", "3", "--hz"}, {"--spectra", "--hz"}},
        {{"rehearse", quick, "--spectra", "3", "--runs", "10"}, {"--spectra", "--runs"}},
        {{"rehearse", quick, "--spectra", "3", "--station", "nowhere"}, {"--station", "\"nowhere\""}},
        {{"rehearse", quick, "--batteries", "0"}, {"--batteries", "found 0"}},
        {{"rehearse", quick, "--loud"}, {"--loud"}},
        {{"rehearse", quick, "--set", "question.kind=depth"}, {"question.text"}},
        {{"rehearse", quick, "--set", "question.text=Deep?", "--set", "question.kind=depth", "--set",
          "question.within_m=3"},
         {"question.interface"}},
        {{"rehearse", fell, "--set", "question.stations[1]=V99"}, {"question.stations[1]", "\"V99\""}},
        {{"rehearse", fell, "--set", "question.confidence=1"}, {"question.confidence", "found 1"}},
    };
    for (const Wrong& wrong : all) expect_refused(wrong);
}

TEST(RehearseCommand, RefusesFoldersThatAreFiles) {
    const ScratchDirectory scratch;
    const std::string file = scratch.write("file", "kept");
    for (const char* flag : {"--out", "--keep"}) {
        const ProgramResult result = run_program(program, {"rehearse", quick, flag, file});
        EXPECT_EQ(result.exit_code, 2) << result.out << result.err;
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
        EXPECT_THAT(result.err, HasSubstr(file));
        EXPECT_EQ(read_whole_file(file), "kept");
    }
}

TEST(RehearseCommand, InterruptedKeepsNothing) {
    const ScratchDirectory scratch;
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
        const int nowhere = ::open("/dev/null", O_WRONLY);
        ::dup2(nowhere, STDOUT_FILENO);
        const std::string keep = scratch.file("series");
        ::execl(program.c_str(), program.c_str(), "rehearse", fell.c_str(), "--keep", keep.c_str(), nullptr);
        ::_exit(127);
    }
    // As soon as it has begun to write.
    for (int i = 0; i < 3000 && std::filesystem::is_empty(scratch.path()); ++i) ::usleep(10'000);
    EXPECT_FALSE(std::filesystem::is_empty(scratch.path()));
    ::usleep(300'000);
    ::kill(child, SIGINT);
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFSIGNALED(status) && WTERMSIG(status) == SIGINT) << status;
    EXPECT_TRUE(std::filesystem::is_empty(scratch.path()));
}

TEST(RehearseCommand, WritesWholeFilesAndPrintsTheSameJson) {
    const ScratchDirectory scratch;
    const std::string out = scratch.file("out");
    const std::vector<std::string> arguments{"rehearse", quick,    "--station", "far", "--station",
                                             "far",      "--json", "--out",     out};
    const ProgramResult result = run_program(program, arguments);
    ASSERT_EQ(result.exit_code, 0) << result.err;
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(out))
        names.push_back(entry.path().filename().string());
    EXPECT_THAT(names, testing::UnorderedElementsAre("rehearsal.json", "rehearsal.html", "curves.csv",
                                                     "natural.csv", "spectra.csv", "sections.csv"));
    EXPECT_EQ(result.out, read_whole_file(out + "/rehearsal.json"));
    const auto json = nlohmann::json::parse(result.out);
    ASSERT_EQ(json.at("stations").size(), 1u);
    EXPECT_EQ(json.at("stations")[0].at("name"), "far");
    EXPECT_TRUE(json.at("answer").is_null()) << "the plan asks nothing";
}

TEST(RehearseCommand, StudiesCoverageFromSpectra) {
    const ScratchDirectory scratch;
    const std::string out = scratch.file("out");
    const auto study = [&](const char* days, const char* threads) {
        return run_program(
            program, {"rehearse", quick, "--spectra", days, "--threads", threads, "--json", "--out", out});
    };
    const ProgramResult one = study("3", "1"), two = study("3", "2");
    ASSERT_EQ(one.exit_code, 0) << one.err;
    EXPECT_EQ(one.out, two.out);
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(out))
        names.push_back(entry.path().filename().string());
    EXPECT_THAT(names, testing::UnorderedElementsAre("coverage.json", "coverage.csv", "coverage.html"));
    EXPECT_EQ(two.out, read_whole_file(out + "/coverage.json"));
    const auto json = nlohmann::json::parse(one.out), day = nlohmann::json::parse(study("1", "2").out);
    EXPECT_EQ(json.at("days"), 3);
    EXPECT_EQ(json.at("whole").at("elements"), 3 * day.at("whole").at("elements").get<int>());
    EXPECT_EQ(json.at("recordings_synthesised"), 0);
    EXPECT_EQ(json.at("frequencies").size(), 4u);
    EXPECT_EQ(json.at("stations").size(), 2u);
    EXPECT_THAT(read_whole_file(out + "/coverage.html"), HasSubstr("how far error bars hold"));
}

TEST(TuneCommand, RefusesForTheQuestionWhatCannotBe) {
    const Wrong all[] = {
        {{"tune", quick, "--for-question"}, {quick, "question: found nothing"}},
        {{"tune", fell, "--for-question", "--margin", "0.1"}, {"--margin", "--for-question"}},
        {{"tune", fell, "--for-question", "--minimise", "time"}, {"--minimise", "--for-question"}},
        {{"tune", fell, "--for-question", "--biased-too"}, {"--biased-too", "--for-question"}},
        {{"tune", fell, "--runs", "10"}, {"--runs", "--for-question"}},
        {{"tune", fell, "--for-question", "--runs", "0"}, {"--runs"}},
        {{"tune", fell, "--for-question", "--set", "sweep.time_budget_s=30"},
         {"sweep.time_budget_s: found 30 s", "at least"}},
        {{"tune", fell, "--for-question", "--set", "sweep.energy_budget_wh=0.1"},
         {"sweep.energy_budget_wh: found 0.1 Wh", "at least"}},
    };
    for (const Wrong& wrong : all) expect_refused(wrong);
}

TEST(TuneCommand, SpendsTheDwellOnTheQuestion) {
    const ScratchDirectory scratch;
    const std::string out = scratch.file("out"), plan = scratch.file("tuned.toml");
    const ProgramResult result = run_program(program, {"tune", fell, "--for-question", "--quick", "--runs",
                                                       "200", "--out", out, "--new-plan", plan});
    ASSERT_EQ(result.exit_code, 0) << result.err;
    EXPECT_THAT(result.out, HasSubstr("told apart with 95 % confidence"));
    EXPECT_THAT(result.out, HasSubstr("new plan: " + plan));
    const auto json = nlohmann::json::parse(read_whole_file(out + "/tune.json"));
    EXPECT_GT(json.at("sweep_after").at("distance_sd").get<double>(),
              1.04 * json.at("sweep_before").at("distance_sd").get<double>());
    EXPECT_EQ(json.at("frequencies").size(), 18u);
    EXPECT_EQ(run_program(program, {"check", plan}).exit_code, 0);
    for (const char* name : {"/tune.csv", "/tune.html"}) EXPECT_GT(read_whole_file(out + name).size(), 1000u);
}

}  // namespace rehearse_command_test
