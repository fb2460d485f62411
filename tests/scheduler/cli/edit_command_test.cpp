#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace edit_command_test {

using ampturn::test::program_path;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using ampturn::test::source_path;
using testing::HasSubstr;

const std::string program = program_path("ampturn");
const std::string quick = source_path("demo/quick.toml");

TEST(EditCommand, TheNewPlanRunsAsTheOldOneWithSet) {
    const ScratchDirectory scratch;
    const std::string path = (scratch.path() / "three.toml").string();
    const std::vector<std::string> settings{"--set", "battery.sets_carried=3",
                                            "--set", "station[2].offset_m=420",
                                            "--set", "survey.notes=a longer line"};
    std::vector<std::string> words{"edit", quick, "--new-plan", path};
    words.insert(words.end(), settings.begin(), settings.end());
    const auto edited = run_program(program, words);
    ASSERT_EQ(edited.exit_code, 0) << edited.err;
    EXPECT_EQ(edited.out, "");
    const std::string text = read_whole_file(path);
    EXPECT_THAT(text, HasSubstr("# INVENTED SCENARIO, small enough to read in a minute"));
    EXPECT_THAT(text, HasSubstr("sets_carried = 3\n"));
    std::vector<std::string> with_set{"day", quick, "--json"};
    with_set.insert(with_set.end(), settings.begin(), settings.end());
    auto wanted = nlohmann::json::parse(run_program(program, with_set).out);
    auto got = nlohmann::json::parse(run_program(program, {"day", path, "--json"}).out);
    for (const char* of_the_file : {"plan_path", "plan_crc32"})
        wanted.erase(of_the_file), got.erase(of_the_file);
    EXPECT_EQ(got, wanted);
}

TEST(EditCommand, NothingIsWrittenThatDoesNotLoadNorOverThePlan) {
    const ScratchDirectory scratch;
    const std::string plan = scratch.write("plan.toml", read_whole_file(quick)),
                      path = (scratch.path() / "new.toml").string();
    const auto bad = run_program(program, {"edit", plan, "--set", "loop.a.turns=0", "--new-plan", path});
    EXPECT_EQ(bad.exit_code, 2);
    EXPECT_THAT(bad.err, HasSubstr("loop.a.turns: found 0, allowed"));
    EXPECT_FALSE(std::filesystem::exists(path));
    const auto over = run_program(program, {"edit", plan, "--set", "loop.a.turns=4", "--new-plan", plan});
    EXPECT_EQ(over.exit_code, 2);
    EXPECT_EQ(read_whole_file(plan), read_whole_file(quick));
}

TEST(EditCommand, ProgramsAreToldAPlansValuesAndAllKeys) {
    const auto check = nlohmann::json::parse(
        run_program(program, {"check", quick, "--json", "--set", "battery.sets_carried=2"}).out);
    EXPECT_EQ(check["given"]["battery"]["sets_carried"], 2);
    EXPECT_EQ(check["given"]["station"][1]["name"], "far");
    EXPECT_GT(check["remarks"].size(), 0u);
    EXPECT_EQ(check["remarks"][0].count("text"), 1u);
    const auto keys = nlohmann::json::parse(run_program(program, {"explain", "--json"}).out);
    std::size_t described = 0;
    for (const auto& key : keys) described += key["help"] != "" && key["type"] != "";
    EXPECT_GT(keys.size(), 200u);
    EXPECT_EQ(described, keys.size());
}

}  // namespace edit_command_test
