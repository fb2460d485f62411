#include "scheduler/report/outcome_text.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <set>
#include <string>

#include "scheduler/report/day_text.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace outcome_text_test {

using namespace ampturn;
using namespace ampturn::day;
using namespace ampturn::reading;
using namespace ampturn::report;
using testing::HasSubstr;
using testing::Not;

struct Row {
    Finding finding;
    const char* text;
};

// Regression: the sentences as readers know them.
TEST(FindingText, SaysEachKindWithItsNumbers) {
    DayResult day = synthetic_day();
    day.order = ImprovedOrder{.exact = true,
                              .unchanged = true,
                              .planned_stations = {},
                              .moving_s = 0,
                              .planned_moving_s = 0,
                              .receiver_s = 0,
                              .planned_receiver_s = 0,
                              .receiver_m = 0,
                              .planned_receiver_m = 0,
                              .planned_end_s = 0,
                              .planned_passed_count = 0};
    day.crew_order = ImprovedCrews{.exact = true,
                                   .unchanged = false,
                                   .better_by_times = true,
                                   .planned_stations = {},
                                   .planned_crews = {},
                                   .by_times = {.end_s = 12 * 3600.0, .sweeps = 3},
                                   .planned_by_times = {.end_s = 13 * 3600.0, .sweeps = 5},
                                   .bound = {.end_s = 11 * 3600.0 + 59, .sweeps = 3},
                                   .planned_end_s = 13 * 3600.0,
                                   .planned_passed_count = day.passed_count + 1};
    day.end_s = 12.5 * 3600;
    const std::string crews_reordered = fmt::format(
        "Crews and stations in the best order: the day takes 3 sweeps instead of 5 and is over at 12:30 instead of 13:00; "
        "none is over before 11:00 or takes fewer than 3 sweeps. But {} required readings pass instead of {}: keep the "
        "plan's order.",
        day.passed_count, day.passed_count + 1);
    const Row rows[] = {
        {SweepsShared{{{.sweeps = 4, .stations = 3}}},
         "Stations listen together: 4 sweeps, each with 3 stations listening."},
        {SweepsShared{{{.sweeps = 3, .stations = 2}, {.sweeps = 1, .stations = 1}}},
         "Stations listen together: 4 sweeps, 3 with 2 stations listening, 1 with 1 station listening."},
        {CrewsReordered{}, crews_reordered.c_str()},
        {SweepsSent{.all = true,
                    .whole = 4,
                    .day_end_s = 14.5 * 3600,
                    .lost = {},
                    .repeated = {{BatterySpent{}, 1}}},
         "The day is carried: all 4 sweeps are sent whole, back at base 14:30. Sent again after breaking "
         "off: "
         "1 x battery spent."},
        // Reasons in the order of their words, whatever the order they occurred in.
        {SweepsSent{.all = false,
                    .whole = 1,
                    .day_end_s = 14.5 * 3600,
                    .lost = {{NoTimeLeft{17 * 3600.0}, 2}, {NoBatteryLeft{}, 10}, {BatterySpent{}, 1}},
                    .repeated = {}},
         "The day is NOT carried: 1 sweeps sent whole, the rest not (1 x battery spent; 10 x no charged "
         "battery left; 2 x no time left: would not be back by 17:00)."},
        {StationsReordered{}, "The plan's order of stations is kept: no other shortens the crews' ways."},
        {BatteryRanOut{.battery_number = 2,
                       .at_cut_off = true,
                       .cut_off_v = 10.5,
                       .lowest_v = 10.4,
                       .time_s = 14.2 * 3600,
                       .delivered_ah = 40.9},
         "Battery set 2 reaches the cut-off of 10.5 V at 14:12 after 40.9 Ah."},
        {BatteryRanOut{.battery_number = 1,
                       .at_cut_off = false,
                       .cut_off_v = 10.5,
                       .lowest_v = 11.4,
                       .time_s = 9 * 3600,
                       .delivered_ah = 0.5},
         "Battery set 1 has no available charge left (terminals 11.4 V) at 09:00 after 0.5 Ah."},
        {BatteryRanOut{.battery_number = 1,
                       .at_cut_off = false,
                       .cut_off_v = 10.5,
                       .lowest_v = std::numeric_limits<double>::quiet_NaN(),
                       .time_s = 9 * 3600,
                       .delivered_ah = 0},
         "Battery set 1 has no charge: it never supplied."},
        {CarryMoreBatteries{.needed = 3, .carried = 2},
         "Carry 3 battery sets, not 2: no sweep is then lost for want of charge. Whether the day then goes, and "
         "what else it needs: ampturn day --make-it-go."},
        {FewerBatteriesWouldDo{.needed = 1, .carried = 2}, "1 of the 2 battery sets carried would do."},
        {NoBatteriesSuffice{.tried = 24}, "Even 24 battery sets do not carry the day."},
        {ReadingsPassed{
             .passed = 3, .required = 9, .failed = {{Verdict::near_field, 2}, {Verdict::not_sent, 4}}},
         "3 of 9 required readings are usable (2 near field, 4 not sent)."},
        {CoilsAssumed{.passed = 100, .passed_with_flat_coils = 112},
         "Assumed: the coils' noise has the slopes of their class. Flat at its floor, 112 readings would be usable, not 100: "
         "measure your coils and state them (receiver.coil = \"custom\")."},
        {FrequenciesLost{FrequenciesLost::Why::too_near, {975, 25478}},
         "2 frequencies are usable at no station, most being too near for a plane wave: 975, 25480 Hz."},
        {FrequenciesLost{FrequenciesLost::Why::too_weak, {975}},
         "1 frequency is usable at no station, most being too weak: 975 Hz."},
        {NoTensorSent{.frequencies_hz = {975, 14706}},
         "The sweep gives no impedance tensor at 975, 14710 Hz: it takes loops A and B in turn, not one alone and not "
         "both at once."},
        {MainsClash{.frequency_hz = 2050, .order = 41},
         "2050 Hz lies in the guard band of mains harmonic 41: move it."},
        {StepsBelowTarget{.steps = std::vector<StepsBelowTarget::Step>(
                              5, {.frequency_hz = 975,
                                  .loop = model::loop::LoopSelection::a,
                                  .current_a_peak = 6.4,
                                  .target_a_peak = 10,
                                  .limited_by = model::transmitter::Limit::voltage})},
         "5 steps stay more than 10 % below their target current: 975 Hz loop A 6.4 A of 10 A (voltage); "
         "975 Hz loop A 6.4 A of 10 A (voltage); 975 Hz loop A 6.4 A of 10 A (voltage); 975 Hz loop A 6.4 A "
         "of 10 A (voltage); ...."},
        {SurveyRemarked{"dipoles are long"}, "Dipoles are long."},
    };
    std::set<std::size_t> kinds;
    for (const Row& row : rows) {
        EXPECT_EQ(finding_text(row.finding, day), row.text);
        kinds.insert(row.finding.index());
    }
    EXPECT_EQ(kinds.size(), std::variant_size_v<Finding>) << "a kind without its row";
}

TEST(OutcomeText, NoNumberOfBatteriesIsNamedWhenNoneCarriesTheDay) {
    DayResult day = synthetic_day();
    EXPECT_THAT(day_summary(day), HasSubstr("carry      3 batteries (planned: 2)"));
    day.batteries_needed_suffice = false;
    EXPECT_THAT(day_summary(day),
                HasSubstr("carry      no number of batteries carries the day (planned: 2)"));
    EXPECT_THAT(day_text(day), HasSubstr("Needed: no number."));
    EXPECT_THAT(day_text(day), Not(HasSubstr("Needed: 3")));
}

TEST(OutcomeText, StepsWithoutDwellAndWholeSweepsHaveNoWord) {
    StepOutcome step{};
    EXPECT_EQ(limit_text(step), "");
    step.limited_by = model::transmitter::Limit::voltage;
    EXPECT_EQ(limit_text(step), "voltage");
    SweepOutcome sweep{};
    EXPECT_EQ(stop_text(sweep), "");
    sweep.stopped_by = Tripped{core::Trip::open_loop};
    EXPECT_EQ(stop_text(sweep), "open_loop");
}

}  // namespace outcome_text_test
