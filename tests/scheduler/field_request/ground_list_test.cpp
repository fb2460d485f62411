#include "scheduler/field_request/ground_list.hpp"

#include <gtest/gtest.h>

#include "scheduler/base/input_error.hpp"

namespace ampturn::field_request {
namespace ground_list_test {

const std::string three =
    "{\"resistivity_ohm_m\": [100], \"thickness_m\": []}\n"
    "{\"name\": \"clay over rock\", \"resistivity_ohm_m\": [20, 900], \"thickness_m\": [35], "
    "\"relative_permittivity\": [12, 6], \"cole_cole\": [null, {\"chargeability\": 0.1, \"time_constant_s\": 0.2, "
    "\"exponent\": 0.5}]}\r\n"
    "{\"resistivity_ohm_m\": [7], \"thickness_m\": []}";

TEST(GroundList, IsReadLineByLine) {
    const GroundList list = read_grounds(three, "g.jsonl", "", "--part");
    ASSERT_EQ(list.grounds.size(), 3u);
    EXPECT_EQ(list.total, 3);
    EXPECT_EQ(list.names, (std::vector<std::string>{"1", "clay over rock", "3"}));
    EXPECT_EQ(list.grounds[1].size(), 2u);
    EXPECT_EQ(list.grounds[1][0].relative_permittivity, 12);
    EXPECT_EQ(list.grounds[1][0].thickness_m, 35);
    EXPECT_EQ(list.grounds[1][1].cole_cole.value().chargeability, 0.1);
    EXPECT_EQ(list.grounds[2][0].resistivity_ohm_m, 7);
}

TEST(GroundList, PartIsTheLinesAfterSoMany) {
    const GroundList whole = read_grounds(three, "g", "", "--part"),
                     last = read_grounds(three, "g", "2:1", "--part");
    ASSERT_EQ(last.grounds.size(), 1u);
    EXPECT_EQ(last.names, std::vector<std::string>{"3"});
    EXPECT_EQ(last.range.first, 2);
    EXPECT_EQ(last.total, 3);
    EXPECT_EQ(last.crc32, whole.crc32);  // of the whole list
    EXPECT_NE(read_grounds(three + "\n", "g", "", "--part").crc32, whole.crc32);
    // Another part's lines are its own to look at.
    EXPECT_EQ(read_grounds("rubbish\n" + three, "g", "1:3", "--part").grounds.size(), 3u);
}

TEST(GroundList, SaysWhatIsWrongAndWhere) {
    const auto refusal = [](const std::string& text, const std::string& part = "") -> std::string {
        try {
            (void)read_grounds(text, "g.jsonl", part, "--part");
        } catch (const base::InputError& error) {
            return text_of(error.problems().front());
        }
        return "";
    };
    const std::string good = "{\"resistivity_ohm_m\": [100], \"thickness_m\": []}\n";
    struct Row {
        std::string text, part;
        const char* says;
    };
    const Row rows[] = {
        {"", "", "g.jsonl: found nothing, allowed 1 to 100000000 grounds, one a line"},
        {good + "\n" + good, "",
         "g.jsonl:2:1: found text that is not JSON, allowed a ground as JSON, one a line"},
        {good + "{\"resistivity_ohm_m\": [100,\n", "", "g.jsonl:2:"},
        {good + "5\n", "", "g.jsonl:2:1: found 5, allowed an object"},
        {good + good + "{\"resistivity_ohm_m\": [100, -3], \"thickness_m\": [10]}\n", "",
         "g.jsonl:3:29: resistivity_ohm_m[1]: found -3, allowed "},
        {good + "{\"resistivity_ohm_m\": [100, 5], \"thickness_m\": [\"x\"]}\n", "",
         "g.jsonl:2:49: thickness_m[0]: found \"x\", allowed a number"},
        {good + "{\"resistivity_ohm_m\": [100], \"thickness_m\": [3]}\n", "",
         "g.jsonl:2:45: thickness_m: found 1 "},
        {good + "{\"resistivity_ohm_m\": [100]}\n", "",
         "g.jsonl:2:1: found no \"thickness_m\", allowed it is required"},
        {good + "{\"resistivity\": [100], \"thickness_m\": []}\n", "",
         "g.jsonl:2:1: found unknown key \"resistivity\", allowed resistivity_ohm_m, thickness_m, "
         "relative_permittivity, relative_permeability, vertical_resistivity_ratio, cole_cole, name"},
        {"{\"name\": 4, \"resistivity_ohm_m\": [100], \"thickness_m\": []}", "",
         "g.jsonl:1:10: name: found 4, allowed a text"},
        {good + good, "1:2",
         "--part: found 1:2, allowed FIRST:COUNT, FIRST from 0, together at most the 2 of g.jsonl"},
        {good, "all", "--part: found all, allowed "},
    };
    for (const Row& row : rows) {
        const std::string said = refusal(row.text, row.part);
        EXPECT_TRUE(said.starts_with(row.says)) << said;
    }
}

}  // namespace ground_list_test
}  // namespace ampturn::field_request
