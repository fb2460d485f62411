#include "scheduler/run/unit.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "scheduler/core/image.hpp"

namespace unit_test {

using namespace ampturn;
using core::Control;
using core::Reply;
using core::State;

/// A plain transmitter: two 5 m squares of 4 turns, 24 V of AGM, no converter.
model::transmitter::Transmitter plain_transmitter() {
    model::transmitter::TransmitterDesign design;
    design.loop_a = {.outline = model::loop::square_outline(5),
                     .wire = model::loop::wire_of_area(6e-6),
                     .pitch_m = 0.008,
                     .taps = {4},
                     .lead_resistance_ohm = 0.02,
                     .centre_height_m = 3};
    design.loop_b = design.loop_a;
    design.loop_b->normal_azimuth_deg = 90;
    design.battery.block = model::transmitter::typical_block(model::transmitter::Chemistry::lead_agm, 12, 40);
    design.battery.series = 2;
    return model::transmitter::prepare(design);
}

std::vector<std::uint8_t> image_of(const core::Table& table) {
    std::vector<std::uint8_t> image(core::image_bytes(table.step_count));
    EXPECT_EQ(core::write_image(table, 24'000'000, image), image.size());
    return image;
}

/// Two steps, 1000 Hz in loop A and 2000 Hz in loop B, two seconds each.
std::vector<std::uint8_t> two_steps() {
    core::Table table;
    table.step_count = 2;
    table.steps[0] = {.loop = core::Loop::a,
                      .divisor = 24'000,
                      .cycles = 2'000,
                      .current_ma_peak = 3'000,
                      .ramp_cycles = 8};
    table.steps[1] = {.loop = core::Loop::b,
                      .divisor = 12'000,
                      .cycles = 4'000,
                      .current_ma_peak = 3'000,
                      .ramp_cycles = 8};
    return image_of(table);
}

class UnitRun : public testing::Test {
  protected:
    UnitRun()
        : unit_({.config = {}, .transmitter = plain_transmitter()},
                model::transmitter::plant_at_rest(plain_transmitter(), 25)) {
        unit_.set_ambient([](double) { return 25.0; });  // at 25 C a battery gives its rated capacity
        unit_.on_interval([this](const run::Interval& i) { intervals_.push_back(i); });
    }
    void run_for_s(double s) { unit_.run_until(unit_.instant_at(unit_.now_s() + s)); }
    void to_standby() {
        run_for_s(3);
        ASSERT_EQ(unit_.core().state(), State::standby);
        ASSERT_EQ(unit_.load(two_steps()).reason, core::Refusal::none);
    }
    void to_sending() {
        to_standby();
        ASSERT_EQ(unit_.control(Control::arm), Reply::accepted);
        ASSERT_EQ(unit_.control(Control::go), Reply::accepted);
        run_for_s(5.5);
        ASSERT_EQ(unit_.core().state(), State::sending);
    }
    run::Unit unit_;
    std::vector<run::Interval> intervals_;
};

TEST_F(UnitRun, RunsATableAndComesBackToStandby) {
    // Definition: the current and the dwells of the table.
    to_sending();
    run_for_s(10);
    EXPECT_EQ(unit_.core().state(), State::standby);
    double dwell_s[2] = {0, 0};
    for (const run::Interval& i : intervals_) {
        if (i.progress.phase != core::Phase::dwell) continue;
        dwell_s[i.progress.step_index] += i.end_s - i.start_s;
        EXPECT_NEAR(i.plant.end.fundamental_peak_a, 3, 0.01) << "the plant gives what the step aims at";
        EXPECT_EQ(i.drive.selection.loop, i.progress.step_index == 0 ? core::Loop::a : core::Loop::b);
    }
    EXPECT_NEAR(dwell_s[0], 2, 1e-6);
    EXPECT_NEAR(dwell_s[1], 2, 1e-6);
}

TEST_F(UnitRun, IntervalsFollowEachOtherWithoutGapsAndEnergyIsConserved) {
    to_sending();
    run_for_s(10);
    const model::transmitter::BatteryCharge charge = unit_.plant().charge;
    double charge_out_ah = 0;
    core::Instant at = intervals_.front().from;
    for (const run::Interval& i : intervals_) {
        EXPECT_EQ(i.from, at);
        at = i.to;
        charge_out_ah += i.plant.charge_out_ah;
    }
    const model::transmitter::BatteryCharge full =
        model::transmitter::plant_at_rest(plain_transmitter(), 25).charge;
    const double taken_ah = full.available_ah + full.bound_ah - charge.available_ah - charge.bound_ah;
    EXPECT_GT(taken_ah, 0);
    EXPECT_NEAR(taken_ah, charge_out_ah, 1e-9 * (full.available_ah + full.bound_ah))
        << "closed form: conservation";
}

TEST_F(UnitRun, StopRampsDownAndEmergencyStopIsAtOnce) {
    to_sending();
    ASSERT_EQ(unit_.control(Control::stop), Reply::accepted);
    EXPECT_EQ(unit_.core().state(), State::stopping);
    run_for_s(0.1);
    EXPECT_EQ(unit_.core().state(), State::standby);

    ASSERT_EQ(unit_.control(Control::arm), Reply::accepted);
    ASSERT_EQ(unit_.control(Control::go), Reply::accepted);
    run_for_s(5.5);
    ASSERT_TRUE(unit_.core().drive().on);
    (void)unit_.control(Control::emergency_stop);
    EXPECT_FALSE(unit_.core().drive().on);
    EXPECT_EQ(unit_.core().state(), State::tripped);
}

TEST_F(UnitRun, FindsAnOpenLoopThroughItsMeasurements) {
    to_sending();
    unit_.plant().faults.loop_open[0] = true;
    run_for_s(1.0);
    EXPECT_EQ(unit_.core().state(), State::tripped);
    EXPECT_TRUE(unit_.core().latched().has(core::Trip::open_loop));
}

TEST_F(UnitRun, FindsAFaultOfLoopBWhereLoopBSends) {
    // Definition: what is wrong with the loop that does not send is not felt.
    to_sending();
    unit_.plant().faults.loop_open[1] = true;
    run_for_s(0.5);
    ASSERT_EQ(unit_.core().state(), State::sending) << "loop A sends";
    run_for_s(3);
    EXPECT_EQ(unit_.core().state(), State::tripped);
    EXPECT_TRUE(unit_.core().latched().has(core::Trip::open_loop));
}

TEST_F(UnitRun, FindsAnOpenLoopWhereBothSend) {
    for (const std::size_t loop : {0u, 1u}) {
        core::Table table;
        table.step_count = 1;
        table.steps[0] = {.loop = core::Loop::both_in_quadrature,
                          .divisor = 24'000,
                          .cycles = 20'000,
                          .current_ma_peak = 3'000,
                          .ramp_cycles = 8};
        run::Unit unit({.config = {}, .transmitter = plain_transmitter()},
                       model::transmitter::plant_at_rest(plain_transmitter(), 25));
        unit.set_ambient([](double) { return 25.0; });
        const auto run_for_s = [&](double s) { unit.run_until(unit.instant_at(unit.now_s() + s)); };
        run_for_s(3);
        ASSERT_EQ(unit.load(image_of(table)).reason, core::Refusal::none);
        ASSERT_EQ(unit.control(Control::arm), Reply::accepted);
        ASSERT_EQ(unit.control(Control::go), Reply::accepted);
        run_for_s(7);
        ASSERT_EQ(unit.core().state(), State::sending);
        unit.plant().faults.loop_open[loop] = true;
        run_for_s(1);
        EXPECT_EQ(unit.core().state(), State::tripped) << loop;
        EXPECT_TRUE(unit.core().latched().has(core::Trip::open_loop)) << loop;
    }
}

TEST_F(UnitRun, FindsALostAndAReversedSupply) {
    to_standby();
    unit_.plant().faults.battery_disconnected = true;
    run_for_s(2);
    EXPECT_EQ(unit_.core().state(), State::unpowered);
    unit_.plant().faults.battery_disconnected = false;
    unit_.plant().faults.supply_reversed = true;
    run_for_s(2);
    EXPECT_NE(unit_.core().state(), State::standby);
    EXPECT_FALSE(unit_.core().drive().on);
    unit_.plant().faults.supply_reversed = false;
    run_for_s(5);
    (void)unit_.control(Control::acknowledge);
    run_for_s(5);
    EXPECT_EQ(unit_.core().state(), State::standby)
        << "nothing keeps the unit from standby once the cause is gone";
}

TEST_F(UnitRun, NoiseOfAReadingHangsOnTheTimeAveragedNotOnTheTick) {
    // Identity: the same volts, read again within the tenth of a second over which a converter averages, and after it.
    to_standby();
    run_for_s(std::ceil(10 * unit_.now_s()) / 10 + 0.01 - unit_.now_s());
    int tenths_alike = 0;
    for (int tenth = 0; tenth < 20; ++tenth) {
        unit_.measure_now();
        const std::int32_t first_mv = unit_.core().last_reading().battery_mv;
        for (int i = 0; i < 8; ++i) {
            run_for_s(0.01);
            unit_.measure_now();
            EXPECT_EQ(unit_.core().last_reading().battery_mv, first_mv);
        }
        run_for_s(0.02);
        unit_.measure_now();
        tenths_alike += unit_.core().last_reading().battery_mv == first_mv;
    }
    EXPECT_LT(tenths_alike, 15) << "5 mV of noise on steps of 5 mV";
}

TEST_F(UnitRun, SameSetupSameCallsSameHistory) {
    to_sending();
    run_for_s(10);
    run::Unit other({.config = {}, .transmitter = plain_transmitter()},
                    model::transmitter::plant_at_rest(plain_transmitter(), 25));
    other.set_ambient([](double) { return 25.0; });
    const auto run_other_s = [&](double s) { other.run_until(other.instant_at(other.now_s() + s)); };
    run_other_s(3);
    (void)other.load(two_steps());
    (void)other.control(Control::arm);
    (void)other.control(Control::go);
    run_other_s(5.5);
    run_other_s(10);
    EXPECT_EQ(other.plant().charge.available_ah, unit_.plant().charge.available_ah);
    EXPECT_EQ(other.core().last_reading(), unit_.core().last_reading());
    EXPECT_EQ(other.core().state(), unit_.core().state());
}

}  // namespace unit_test
