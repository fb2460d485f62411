#include "scheduler/tune/tune_readings.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace tune_readings_test {

using namespace ampturn;
using reading::Verdict;

day::DayResult day_of(const std::vector<Verdict>& verdicts) {
    day::DayResult day{};
    for (const Verdict verdict : verdicts) {
        reading::Reading reading{};
        reading.required = true;
        reading.verdict = verdict;
        day.readings.push_back(reading);
        ++day.required_count;
    }
    day.readings.back().required = false;
    --day.required_count;
    return day;
}

TEST(ReadingsMoved, SaysWhatBecomesOfThoseThatPassed) {
    const day::DayResult before = day_of(
        {Verdict::usable, Verdict::usable, Verdict::usable, Verdict::noisy, Verdict::noisy, Verdict::usable});
    const day::DayResult after = day_of({Verdict::usable, Verdict::not_sent, Verdict::noisy, Verdict::usable,
                                         Verdict::noisy, Verdict::noisy});
    const tune::ReadingsMoved moved = tune::readings_moved(before, after);
    EXPECT_EQ(moved.passed_before, 3) << "definition: the last one is not required";
    EXPECT_EQ(moved.kept, 1) << "definition: as listed";
    EXPECT_EQ(moved.gained, 1) << "definition: as listed";
    EXPECT_EQ(moved.passed_before, moved.kept + moved.lost_not_sent + moved.lost_noisy + moved.lost_biased)
        << "identity: every reading is told of once";
    EXPECT_EQ(
        tune::readings_moved_text(moved, 5),
        "Of 3 required readings that pass with the plan's own dwells, 1 still do; 1 is not sent any more; 1 is "
        "noisy now. 1 pass that did not: 2 of 5 in all.")
        << "definition";
}

}  // namespace tune_readings_test
