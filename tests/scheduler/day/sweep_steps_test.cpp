// A step of a sweep put together from the intervals the unit went through.
#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/day/sweep_outcome.hpp"

namespace sweep_steps_test {

using namespace ampturn;
using namespace ampturn::day;

struct Part {
    int step_index;
    core::Phase phase;
    double start_s, end_s;
    double start_a, end_a;  // peak of the fundamental; its rms is 0.7 of it, the bus ten volts an ampere
    double energy_j = 0, moment_s = 0, moment_b_s = 0;
    double battery_v = 25, winding_c = 20, electronics_c = 30;
    bool on = true, supplied = true;
};

run::Interval interval_of(const Part& p) {
    run::Interval out{};
    out.start_s = p.start_s;
    out.end_s = p.end_s;
    out.drive.on = p.on;
    out.progress.phase = p.phase;
    out.progress.step_index = static_cast<std::uint8_t>(p.step_index);
    out.plant.start.fundamental_peak_a = p.start_a;
    out.plant.end.fundamental_peak_a = p.end_a;
    out.plant.start.rms_a = 0.7 * p.start_a;
    out.plant.end.rms_a = 0.7 * p.end_a;
    out.plant.start.bus_v = 10 * p.start_a;
    out.plant.end.bus_v = 10 * p.end_a;
    out.plant.end.battery_v = p.battery_v;
    out.plant.end.supplied = p.supplied;
    out.plant.end.winding_c = p.winding_c;
    out.plant.end.electronics_c = p.electronics_c;
    out.plant.energy.battery_out_j = p.energy_j;
    out.plant.moment_time_a_m2_s = p.moment_s;
    out.plant.moment_b_time_a_m2_s = p.moment_b_s;
    return out;
}

std::vector<setup::TableRow> rows_with_dwells(std::initializer_list<double> dwells_s) {
    std::vector<setup::TableRow> rows;
    for (const double dwell_s : dwells_s) {
        rows.push_back({});
        rows.back().dwell_s = dwell_s;
    }
    return rows;
}

TEST(SweepSteps, AreMeansOverTheDwellAndSumsOverAllOfTheStep) {
    // Definition: dwells by time, ramps count for energy, volts and heat alone.
    SweepOutcome sweep{};
    const auto rows = rows_with_dwells({4, 2});
    for (const Part& part : {Part{0, core::Phase::ramp_up, 0, 1, 0, 8, 360, 99, 99, 24},
                             Part{0, core::Phase::dwell, 1, 2, 8, 10, 720, 900, 90, 23},
                             Part{0, core::Phase::dwell, 2, 5, 10, 12, 1440, 3300, 330, 22, 31, 41},
                             Part{0, core::Phase::ramp_down, 5, 6, 12, 0, 360, 99, 99, 24, 32, 42},
                             Part{0, core::Phase::gap, 6, 7, 0, 0, 36, 0, 0, 10, 33, 43, false},
                             Part{1, core::Phase::dwell, 8, 10, 5, 5, 3600, 50, 0, 20}})
        add_interval(sweep, interval_of(part), 1000, rows);
    ASSERT_EQ(sweep.steps.size(), 2u);
    const StepOutcome& first = sweep.steps[0];
    EXPECT_EQ(first.step_number, 1);
    EXPECT_EQ(first.start_s, 1000);
    EXPECT_EQ(first.dwell_s, 4);
    EXPECT_NEAR(first.current_a_peak, (1 * 9 + 3 * 11) / 4.0, 1e-12);
    EXPECT_NEAR(first.current_a_rms, 0.7 * (1 * 9 + 3 * 11) / 4.0, 1e-12);
    EXPECT_NEAR(first.bus_v, 10 * (1 * 9 + 3 * 11) / 4.0, 1e-12);
    EXPECT_NEAR(first.moment_a_m2_peak, (900 + 3300) / 4.0, 1e-9);
    EXPECT_NEAR(first.moment_b_a_m2_peak, (90 + 330) / 4.0, 1e-9);
    EXPECT_NEAR(first.energy_wh, (360 + 720 + 1440 + 360 + 36) / 3600.0, 1e-12);
    EXPECT_EQ(first.battery_lowest_v, 22) << "with the power stage off it is not the step's";
    EXPECT_EQ(first.winding_c, 33);
    EXPECT_EQ(first.electronics_c, 43);
    EXPECT_TRUE(first.complete);
    const StepOutcome& second = sweep.steps[1];
    EXPECT_EQ(second.step_number, 2);
    EXPECT_EQ(second.start_s, 1008);
    EXPECT_EQ(second.current_a_peak, 5);
    EXPECT_TRUE(second.complete);
    EXPECT_NEAR(sweep.energy_wh, first.energy_wh + second.energy_wh, 1e-12) << "identity";
}

TEST(SweepSteps, AreCompleteWhenTheirDwellIs) {
    // Definition: within a ten thousandth, for the clock's rounding.
    for (const auto& [sent_s, complete] :
         {std::pair{9.9, false}, {9.9989, false}, {9.9991, true}, {10.0, true}}) {
        SweepOutcome sweep{};
        add_interval(sweep, interval_of({0, core::Phase::dwell, 0, sent_s, 5, 5}), 0, rows_with_dwells({10}));
        EXPECT_EQ(sweep.steps[0].complete, complete) << sent_s;
    }
}

TEST(SweepSteps, ABatteryThatTookItselfOffHasNoLowestVolts) {
    SweepOutcome sweep{};
    const auto rows = rows_with_dwells({10});
    add_interval(
        sweep,
        interval_of({.step_index = 0, .phase = core::Phase::ramp_up, .battery_v = 0, .supplied = false}), 0,
        rows);
    ASSERT_EQ(sweep.steps.size(), 1u);
    EXPECT_TRUE(std::isnan(sweep.steps[0].battery_lowest_v)) << "definition: not measured, no number";
    EXPECT_FALSE(sweep.steps[0].limited_by) << "no dwell";
    EXPECT_FALSE(sweep.steps[0].complete);
}

SweepOutcome attempt(int sweep_number, std::vector<int> listeners, std::optional<SweepStop> stop) {
    SweepOutcome out{};
    out.sweep_number = sweep_number;
    out.listeners = std::move(listeners);
    out.stopped_by = stop;
    return out;
}

TEST(SweepSteps, AnAttemptCountsForItsOwnStationAndNumberAlone) {
    const SweepOutcome broken = attempt(2, {4, 5}, BatterySpent{});
    EXPECT_TRUE(completed_in_any_attempt({broken, attempt(2, {4, 5}, {})}, broken));
    EXPECT_FALSE(completed_in_any_attempt({broken, attempt(1, {4, 5}, {})}, broken)) << "another sweep";
    EXPECT_FALSE(completed_in_any_attempt({broken, attempt(2, {6}, {})}, broken)) << "other stations";
    EXPECT_FALSE(completed_in_any_attempt({broken, attempt(2, {4, 5}, NoTimeLeft{0})}, broken))
        << "broken off again";
    EXPECT_TRUE(broken.heard_by(5));
    EXPECT_FALSE(broken.heard_by(6));
}

}  // namespace sweep_steps_test
