#include "scheduler/reach/ground_rows.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/reach_output.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::reach {
namespace ground_rows_test {

using ampturn::test::read_whole_file;
using ampturn::test::ScratchDirectory;
using Json = nlohmann::json;

/// The second is the ground of demo/quick.toml, whose permittivities are a plan's default.
const std::string grounds =
    "{\"resistivity_ohm_m\": [2000], \"thickness_m\": []}\n"
    "{\"name\": \"the plan's own\", \"resistivity_ohm_m\": [100, 400], \"thickness_m\": [30], \"relative_permittivity\": [10, 10]}\n"
    "{\"resistivity_ohm_m\": [40, 900], \"thickness_m\": [15], \"relative_permittivity\": [10, 10]}\n"
    "{\"resistivity_ohm_m\": [9000, 300], \"thickness_m\": [15]}\n"
    "{\"resistivity_ohm_m\": [5], \"thickness_m\": []}\n";

plan::Plan quick_plan(const std::vector<plan::file::Setting>& settings = {}) {
    return plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), settings);
}

std::string rows_of(const std::string& part, unsigned threads = 1, const std::string& list = grounds,
                    int hour = 12) {
    std::string text;
    int done = 0;
    write_ground_rows(
        quick_plan(), {.plan_text = "the plan\n", .settings = {"a=1"}},
        field_request::read_grounds(list, "g", part, "--part"),
        {.sector_count = 2, .hour = hour, .threads = threads}, [&](std::string_view piece) { text += piece; },
        [&] { ++done; });
    EXPECT_EQ(done + 1, std::count(text.begin(), text.end(), '\n'));
    return text;
}

std::vector<Json> lines_of(const std::string& text) {
    std::vector<Json> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(Json::parse(line));
    return lines;
}

TEST(GroundRows, SayOfThePlansGroundWhatReachSays) {
    // Identity: one quantity in two outputs.
    const std::vector<Json> lines = lines_of(rows_of(""));
    ASSERT_EQ(lines.size(), 6u);
    const Json reach = Json::parse(reach_json_text(reach_of(quick_plan(), {.sector_count = 2, .hour = 12})));
    const Json &head = lines[0], &own = lines[2];
    for (const char* key : {"site", "sectors", "offset_min_m", "offset_max_m", "hour", "table_made_for"})
        EXPECT_EQ(head.at(key), reach.at(key)) << key;
    EXPECT_EQ(own["name"], "the plan's own");
    EXPECT_EQ(own["ground"], 2);
    ASSERT_EQ(own["frequencies"].size(), 4u);
    for (std::size_t f = 0; f < 4; ++f) {
        const Json &row = own["frequencies"][f], &of_reach = reach["frequencies"][f],
                   &sent = head["frequencies"][f];
        for (const auto& [key, value] : sent.items()) EXPECT_EQ(value, of_reach.at(key)) << key;
        for (const auto& [key, value] : row.items()) {
            if (key == "usable_by_sector") continue;
            EXPECT_EQ(value, of_reach.at(key)) << key;
        }
        ASSERT_EQ(row["usable_by_sector"].size(), 2u);
        for (std::size_t s = 0; s < 2; ++s)
            EXPECT_EQ(row["usable_by_sector"][s], of_reach["sectors"][s]["usable"]);
    }
    ASSERT_EQ(own["stations"].size(), 2u);
    for (std::size_t s = 0; s < 2; ++s)
        EXPECT_EQ(own["stations"][s]["in_window"], reach["stations"][s]["in_window"]);
    EXPECT_NE(lines[1]["frequencies"], own["frequencies"]);
}

TEST(GroundRows, AreThoseOfThatGroundInThePlan) {
    // Identity: a ground from the list, and a plan that has it.
    const Json row = lines_of(rows_of(""))[3];
    const Json reach = Json::parse(reach_json_text(
        reach_of(quick_plan({{"earth.resistivity_ohm_m", "[40, 900]"}, {"earth.thickness_m", "[15]"}}),
                 {.sector_count = 2, .hour = 12})));
    for (std::size_t f = 0; f < 4; ++f) {
        EXPECT_EQ(row["frequencies"][f]["all_directions"], reach["frequencies"][f]["all_directions"]);
        EXPECT_EQ(row["frequencies"][f]["skin_depth_m"], reach["frequencies"][f]["skin_depth_m"]);
    }
}

TEST(GroundRows, PartsTogetherAreTheBytesOfOneRunWhateverTheThreads) {
    // Identity: the same rows, computed in one and in three.
    const ScratchDirectory folder;
    const std::string whole = rows_of("");
    EXPECT_EQ(rows_of("", 3), whole);
    const std::vector<std::string> parts{folder.write("c", rows_of("4:1")),
                                         folder.write("a", rows_of("0:3", 2)),
                                         folder.write("b", rows_of("3:1"))};
    merge_ground_rows(parts, folder.file("all"));
    EXPECT_EQ(read_whole_file(folder.file("all")), whole);
}

TEST(GroundRows, MergeSaysWhatIsMissingOrDoesNotBelong) {
    const ScratchDirectory folder;
    const std::string text = rows_of("3:2");
    const std::string a = folder.write("a", rows_of("0:3")), b = folder.write("b", text);
    const auto refusal = [&](const std::vector<std::string>& parts) -> std::string {
        try {
            merge_ground_rows(parts, folder.file("all"));
        } catch (const base::InputError& error) {
            EXPECT_FALSE(std::filesystem::exists(folder.file("all")));
            return text_of(error.problems().front());
        }
        std::filesystem::remove(folder.file("all"));
        return "";
    };
    const auto expect = [&](const std::vector<std::string>& parts, const std::string& says) {
        const std::string said = refusal(parts);
        EXPECT_NE(said.find(says), std::string::npos) << said;
    };
    EXPECT_EQ(refusal({b, a}), "");
    expect({a}, "a: found no part with the grounds 4 to 5,");
    expect({b}, "b: found no part with the grounds 1 to 3,");
    expect({a, b, b}, "what is before is in " + b + " already");
    const std::size_t last = text.rfind('\n', text.size() - 2) + 1;
    expect({a, folder.write("died", text.substr(0, last + 30))},
           "died: found 1 of 2 grounds: the part ended early, 5 missing, allowed a whole part; run it again");
    expect({a, folder.write("none", "")}, "none:1: found something else");
    expect({a, folder.write("twice", text + text.substr(last))},
           "twice:4: found ground 5, allowed no more rows");
    expect({a, folder.write("torn", text.substr(0, last) + "{\n")}, "torn:3: found something else");
    expect({a, folder.write("hour", rows_of("3:2", 1, grounds, 3))},
           "hour:1: found another plan, other options");
    expect({a, folder.write("list", rows_of("3:2", 1, grounds + grounds))}, "another list of grounds");
    std::string version = text;
    version.replace(version.find("\"version\":\"") + 11, 1, "9");
    expect({a, folder.write("version", version)}, "version:1: found rows of version 9");
    for (const char* number : {"\"first\":3", "\"count\":2", "\"total\":5"}) {
        std::string head = text;
        head.replace(head.find(number) + std::string_view(number).size() - 1, 1, "\"x\"");
        expect({a, folder.write("head", head)}, "head:1: found");
    }
}

}  // namespace ground_rows_test
}  // namespace ampturn::reach
