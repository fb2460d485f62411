#include "scheduler/base/part_range.hpp"

#include <gtest/gtest.h>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {
namespace part_range_test {

constexpr PartWords grounds{.entries = "grounds", .first_number = 1};

std::string refusal(const std::vector<PartFound>& parts, int total, PartWords words = grounds) {
    try {
        (void)parts_in_order(parts, words, total);
    } catch (const InputError& error) {
        return text_of(error.problems().front());
    }
    return "";
}

TEST(PartRange, IsFirstAndCountWithinTheWhole) {
    const PartRange range = parse_part_range("30:70", "--part", 100, "");
    EXPECT_EQ(range.first, 30);
    EXPECT_EQ(range.count, 70);
    for (const char* wrong : {"", "5", ":5", "5:", "-1:5", "0:0", "31:70", "0:101", "1:2:3", "a:b", "0x1:2",
                              "1:2 ", "9999999999:1"}) {
        try {
            (void)parse_part_range(wrong, "--part", 100, "a part of 100");
            ADD_FAILURE() << wrong;
        } catch (const InputError& error) {
            EXPECT_EQ(text_of(error.problems().front()),
                      "--part: found " + std::string(wrong) + ", allowed a part of 100");
        }
    }
}

TEST(PartsInOrder, AreSortedByTheirFirstEntry) {
    const auto order = parts_in_order({{"b", {5, 3}, 3}, {"c", {8, 1}, 1}, {"a", {0, 5}, 5}}, grounds, 9);
    EXPECT_EQ(order, (std::vector<std::size_t>{2, 0, 1}));
    EXPECT_EQ(parts_in_order({{"a", {0, 5}, 5}}, grounds, 0), std::vector<std::size_t>{0});
}

TEST(PartsInOrder, NameWhatIsMissingAsPeopleCount) {
    const PartFound a{"a", {0, 5}, 5}, b{"b", {5, 3}, 3}, c{"c", {8, 2}, 2};
    EXPECT_EQ(refusal({a, b, c}, 10), "");
    EXPECT_EQ(refusal({a, c}, 10), "c: found no part with the grounds 6 to 8, allowed all grounds from 1 on");
    EXPECT_EQ(refusal({a, b}, 10),
              "b: found no part with the grounds 9 to 10, allowed all grounds from 1 on");
    EXPECT_EQ(refusal({a, b}, 9), "b: found no part with the grounds 9, allowed all grounds from 1 on");
    EXPECT_EQ(refusal({b}, 0, {.entries = "runs", .first_number = 0}),
              "b: found no part with the runs 0 to 4, allowed all runs from 0 on");
    EXPECT_EQ(
        refusal({a, {"b", {5, 3}, 1}, c}, 10),
        "b: found 1 of 3 grounds: the part ended early, 7 to 8 missing, allowed a whole part; run it again");
    EXPECT_EQ(refusal({a, {"b", {4, 4}, 4}}, 8),
              "b:1: found grounds from 5 on, allowed grounds from 6 on: what is before is in a already");
    EXPECT_EQ(refusal({a, b, c}, 9), "c: found 10 grounds in all, allowed 9, as asked for");
    EXPECT_EQ(refusal({}, 9), "found no part, allowed at least one");
}

}  // namespace part_range_test
}  // namespace ampturn::base
