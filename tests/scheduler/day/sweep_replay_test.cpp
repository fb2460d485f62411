#include "scheduler/run/sweep_replay.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/day/day_run.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace sweep_replay_test {

using namespace ampturn;
using namespace ampturn::day;

struct Days {
    DayRun sent, replayed;
    std::size_t pieces;
};

/// The demo's day on the sequencer, and by the pattern of its first sweep.
Days days_of(const std::vector<plan::file::Setting>& settings, int sets) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/vesslarook.toml"), settings);
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    run::SweepPattern pattern;
    Days days{
        run_day(plan, setup, {.seed = 1, .sets_available = sets, .trace = false, .keep_pattern = &pattern}),
        {},
        0};
    days.replayed =
        run_day(plan, setup, {.seed = 1, .sets_available = sets, .trace = false, .pattern = &pattern});
    days.pieces = pattern.pieces().size();
    return days;
}

TEST(SweepReplay, IsTheDayOfTheSequencer) {
    // Independent: the sequencer's own day, each ramp level and reading. Two sets: one is emptied to its cut-off.
    const Days days = days_of({}, 2);
    EXPECT_EQ(days.pieces, 4u * 36 + 1) << "ramp up, dwell, ramp down, off; and off at first";
    ASSERT_EQ(days.replayed.sweeps.size(), days.sent.sweeps.size());
    EXPECT_NEAR(days.replayed.end_s, days.sent.end_s, 0.1);
    int compared = 0;
    for (std::size_t i = 0; i < days.sent.sweeps.size(); ++i) {
        const SweepOutcome &a = days.sent.sweeps[i], &b = days.replayed.sweeps[i];
        EXPECT_EQ(a.complete(), b.complete()) << i;
        EXPECT_EQ(a.listeners, b.listeners) << i;
        EXPECT_NEAR(a.start_s, b.start_s, 0.01) << i;
        EXPECT_NEAR(a.end_s, b.end_s, 0.1) << i;
        ASSERT_EQ(a.steps.size(), b.steps.size()) << i;
        EXPECT_NEAR(b.energy_wh, a.energy_wh, 2e-4 * a.energy_wh + 1e-9) << i;
        for (std::size_t k = 0; k < a.steps.size(); ++k, ++compared) {
            const StepOutcome &s = a.steps[k], &t = b.steps[k];
            EXPECT_EQ(s.step_number, t.step_number);
            EXPECT_EQ(s.complete, t.complete);
            if (!s.complete) continue;
            EXPECT_NEAR(t.dwell_s, s.dwell_s, 1e-5 * s.dwell_s);
            EXPECT_NEAR(t.moment_a_m2_peak, s.moment_a_m2_peak, 1e-5 * s.moment_a_m2_peak) << i << ' ' << k;
            EXPECT_NEAR(t.current_a_rms, s.current_a_rms, 1e-5 * s.current_a_rms);
            EXPECT_NEAR(t.energy_wh, s.energy_wh, 5e-4)
                << "the relays' half second counts to the step before";
            EXPECT_NEAR(t.battery_lowest_v, s.battery_lowest_v, 0.004) << i << ' ' << k;
            EXPECT_NEAR(t.winding_c, s.winding_c, 0.1);
            EXPECT_NEAR(t.electronics_c, s.electronics_c, 0.1);
        }
    }
    EXPECT_GT(compared, 400);
    ASSERT_EQ(days.replayed.batteries.size(), days.sent.batteries.size());
    for (std::size_t i = 0; i < days.sent.batteries.size(); ++i) {
        EXPECT_NEAR(days.replayed.batteries[i].delivered_wh, days.sent.batteries[i].delivered_wh,
                    3e-4 * days.sent.batteries[i].delivered_wh);
        EXPECT_EQ(days.replayed.batteries[i].reached_cut_off, days.sent.batteries[i].reached_cut_off);
    }
}

TEST(SweepReplay, LeavesATripToTheSequencer) {
    // One weak set: it trips in some sweep, and the sequencer has to find it there.
    const Days days = days_of({{"battery.capacity_ah", "8"}}, 1);
    ASSERT_EQ(days.replayed.sweeps.size(), days.sent.sweeps.size());
    int whole = 0;
    for (std::size_t i = 0; i < days.sent.sweeps.size(); ++i) {
        EXPECT_EQ(days.sent.sweeps[i].complete(), days.replayed.sweeps[i].complete()) << i;
        EXPECT_EQ(days.sent.sweeps[i].steps.size(), days.replayed.sweeps[i].steps.size()) << i;
        whole += days.sent.sweeps[i].complete();
    }
    EXPECT_GT(whole, 0);
    EXPECT_LT(whole, static_cast<int>(days.sent.sweeps.size()));
    EXPECT_TRUE(days.replayed.batteries.back().reached_cut_off);
}

TEST(SweepPattern, IsEmptyWhereNoSweepWasSentWhole) {
    const Days days = days_of({{"battery.capacity_ah", "1"}}, 1);
    EXPECT_EQ(days.pieces, 0u);
}

}  // namespace sweep_replay_test
