// What a day's reader is told first, of days made by hand: one thing wrong at a time. Definitions throughout: scheduler/day/finding.hpp.
#include "scheduler/day/findings.hpp"

#include <gtest/gtest.h>

#include <optional>

#include "scheduler/day/day_result.hpp"

namespace findings_test {

using namespace ampturn;
using namespace ampturn::day;
using model::loop::LoopSelection;
using reading::Verdict;

template <class Kind>
const Kind* found_in(const std::vector<Finding>& findings) {
    for (const Finding& finding : findings)
        if (const Kind* kind = std::get_if<Kind>(&finding)) return kind;
    return nullptr;
}
template <class Kind>
std::optional<Kind> found(const DayResult& day) {
    const std::vector<Finding> findings = findings_of(day);
    const Kind* kind = found_in<Kind>(findings);
    return kind == nullptr ? std::nullopt : std::optional<Kind>(*kind);
}

SweepOutcome attempt(int number, std::optional<SweepStop> stop, std::vector<int> listeners = {0}) {
    SweepOutcome sweep{};
    sweep.listeners = std::move(listeners);
    sweep.sweep_number = number;
    sweep.stopped_by = stop;
    return sweep;
}

DayResult carried(int carried, int needed, bool suffice) {
    DayResult day{};
    day.batteries_carried = carried;
    day.batteries_needed = needed;
    day.batteries_needed_suffice = suffice;
    return day;
}

TEST(Findings, AdviseTheBatteriesThatTheDayNeeds) {
    const auto more = found<CarryMoreBatteries>(carried(1, 3, true));
    ASSERT_TRUE(more);
    EXPECT_EQ(more->needed, 3);
    EXPECT_EQ(more->carried, 1);
    EXPECT_FALSE(found<FewerBatteriesWouldDo>(carried(1, 3, true)));

    const auto fewer = found<FewerBatteriesWouldDo>(carried(3, 1, true));
    ASSERT_TRUE(fewer);
    EXPECT_EQ(fewer->needed, 1);
    EXPECT_EQ(fewer->carried, 3);
    EXPECT_FALSE(found<CarryMoreBatteries>(carried(3, 1, true)));

    EXPECT_FALSE(found<CarryMoreBatteries>(carried(2, 2, true)));
    EXPECT_FALSE(found<FewerBatteriesWouldDo>(carried(2, 2, true)));
    EXPECT_FALSE(found<FewerBatteriesWouldDo>(carried(2, 0, true)))
        << "nothing was sent: no number is advised";

    const DayResult none = carried(1, 2, false);
    const auto tried = found<NoBatteriesSuffice>(none);
    ASSERT_TRUE(tried);
    EXPECT_EQ(tried->tried, 24);
    EXPECT_FALSE(found<CarryMoreBatteries>(none)) << "no number of them is enough";
    EXPECT_FALSE(found<NoBatteriesSuffice>(carried(1, 2, true)));
}

TEST(Findings, TellABatteryThatRanOutAndWhetherItsVoltsDid) {
    DayResult day = carried(1, 1, true);
    day.battery_cut_off_v = 21;
    day.batteries = {
        {.battery_number = 1, .lowest_v = 23, .reached_cut_off = false},
        {.battery_number = 2, .delivered_ah = 40, .lowest_v = 21, .reached_cut_off = true, .cut_off_s = 900},
        {.battery_number = 3, .lowest_v = 21.1, .reached_cut_off = true}};
    std::vector<BatteryRanOut> out;
    const std::vector<Finding> findings = findings_of(day);
    for (const Finding& finding : findings)
        if (const auto* ran_out = std::get_if<BatteryRanOut>(&finding)) out.push_back(*ran_out);
    ASSERT_EQ(out.size(), 2u);
    EXPECT_EQ(out[0].battery_number, 2);
    EXPECT_TRUE(out[0].at_cut_off);
    EXPECT_EQ(out[0].cut_off_v, 21);
    EXPECT_EQ(out[0].time_s, 900);
    EXPECT_EQ(out[0].delivered_ah, 40);
    EXPECT_EQ(out[1].battery_number, 3);
    EXPECT_FALSE(out[1].at_cut_off) << "its charge was out, not its volts";
}

TEST(Findings, CountSweepsThatWereSentLostAndRepeated) {
    DayResult day = carried(1, 1, true);
    day.sweeps = {attempt(1, {}),
                  attempt(2, BatterySpent{}),
                  attempt(2, {}),
                  attempt(3, NoTimeLeft{61200}),
                  attempt(4, NoTimeLeft{61200}),
                  attempt(5, BatterySpent{})};
    const auto sent = found<SweepsSent>(day);
    ASSERT_TRUE(sent);
    EXPECT_EQ(sent->whole, 2);
    ASSERT_EQ(sent->repeated.size(), 1u);
    EXPECT_EQ(sent->repeated[0].sweeps, 1);
    EXPECT_TRUE(std::holds_alternative<BatterySpent>(sent->repeated[0].stop));
    ASSERT_EQ(sent->lost.size(), 2u);
    EXPECT_EQ(sent->lost[0].sweeps, 2);
    EXPECT_TRUE(std::holds_alternative<NoTimeLeft>(sent->lost[0].stop));
    EXPECT_EQ(sent->lost[1].sweeps, 1);
}

TEST(Findings, SayWhoListenedOnlyWithReceiverCrewsAndSweeps) {
    DayResult day = carried(1, 1, true);
    EXPECT_FALSE(found<SweepsShared>(day));
    day.receiver_crews = {{.name = "Juniper", .people = 2, .sensor_sets = 2, .back_s = 0}};
    EXPECT_FALSE(found<SweepsShared>(day)) << "nothing was sent";
    day.sweeps = {attempt(1, {}, {0, 1}), attempt(2, {}, {0}), attempt(3, {}, {2, 3}),
                  attempt(4, BatterySpent{}, {0, 1})};
    for (std::size_t i = 0; i < 3; ++i) day.sweeps[i].steps.push_back({});
    const auto shared = found<SweepsShared>(day);
    ASSERT_TRUE(shared);
    ASSERT_EQ(shared->heard.size(), 2u);
    EXPECT_EQ(shared->heard[0].stations, 2);
    EXPECT_EQ(shared->heard[0].sweeps, 2);
    EXPECT_EQ(shared->heard[1].stations, 1);
    EXPECT_EQ(shared->heard[1].sweeps, 1);
    day.receiver_crews.clear();
    EXPECT_FALSE(found<SweepsShared>(day)) << "without crews one listens at a time";
}

reading::Reading reading_of(int frequency_index, Verdict verdict, bool required = true) {
    reading::Reading out{};
    out.frequency_index = frequency_index;
    out.verdict = verdict;
    out.required = required;
    return out;
}

TEST(Findings, CountRequiredVerdictsTheMostInterestingFirst) {
    DayResult day = carried(1, 1, true);
    day.passed_count = 2;
    day.required_count = 7;
    day.readings = {reading_of(0, Verdict::usable),
                    reading_of(0, Verdict::noisy),
                    reading_of(0, Verdict::noisy),
                    reading_of(0, Verdict::transition),
                    reading_of(0, Verdict::not_sent),
                    reading_of(0, Verdict::near_field),
                    reading_of(0, Verdict::near_field, false)};
    const auto passed = found<ReadingsPassed>(day);
    ASSERT_TRUE(passed);
    EXPECT_EQ(passed->passed, 2);
    EXPECT_EQ(passed->required, 7);
    const std::vector<std::pair<Verdict, int>> wanted{
        {Verdict::near_field, 1}, {Verdict::transition, 1}, {Verdict::noisy, 2}, {Verdict::not_sent, 1}};
    ASSERT_EQ(passed->failed.size(), wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        EXPECT_EQ(passed->failed[i].verdict, wanted[i].first);
        EXPECT_EQ(passed->failed[i].count, wanted[i].second);
    }
    EXPECT_FALSE(found<CoilsAssumed>(day));
    day.passed_with_flat_coils = 2;
    EXPECT_FALSE(found<CoilsAssumed>(day)) << "nothing rests on them";
    day.passed_with_flat_coils = 3;
    const auto coils = found<CoilsAssumed>(day);
    ASSERT_TRUE(coils);
    EXPECT_EQ(coils->passed, 2);
    EXPECT_EQ(coils->passed_with_flat_coils, 3);
}

TEST(Findings, AFrequencyIsLostByWhatMostStationsFailBy) {
    DayResult day = carried(1, 1, true);
    day.frequencies_hz = {100, 200, 400, 800, 1600, 3200};
    const auto add = [&](int frequency_index, std::initializer_list<Verdict> verdicts) {
        for (const Verdict verdict : verdicts) day.readings.push_back(reading_of(frequency_index, verdict));
    };
    add(0, {Verdict::near_field, Verdict::transition, Verdict::noisy});
    add(1, {Verdict::near_field, Verdict::noisy, Verdict::noisy});
    add(2, {Verdict::usable, Verdict::noisy, Verdict::noisy});  // one can use it
    add(3, {Verdict::not_sent, Verdict::not_sent});             // nothing is known of it
    add(4, {Verdict::noisy, Verdict::transition});              // as many: too near
    std::vector<FrequenciesLost> lost;
    const std::vector<Finding> findings = findings_of(day);
    for (const Finding& finding : findings)
        if (const auto* one = std::get_if<FrequenciesLost>(&finding)) lost.push_back(*one);
    ASSERT_EQ(lost.size(), 2u);
    EXPECT_EQ(lost[0].why, FrequenciesLost::Why::too_near);
    EXPECT_EQ(lost[0].frequencies_hz, (std::vector<double>{100, 1600}));
    EXPECT_EQ(lost[1].why, FrequenciesLost::Why::too_weak);
    EXPECT_EQ(lost[1].frequencies_hz, std::vector<double>{200});
}

setup::TableRow row_of(int number, LoopSelection loop, double frequency_hz, double target_a, int clash = 0) {
    setup::TableRow row{};
    row.step_number = number;
    row.loop = loop;
    row.frequency_hz = frequency_hz;
    row.target_current_a_peak = target_a;
    row.mains_clash_order = clash;
    return row;
}

TEST(Findings, BothLoopsHaveToSendAFrequencyByThemselves) {
    DayResult day = carried(1, 1, true);
    day.frequencies_hz = {100, 200, 300, 400};
    day.table = {row_of(1, LoopSelection::a, 100, 1), row_of(2, LoopSelection::b, 100, 1),
                 row_of(3, LoopSelection::a, 200, 1), row_of(4, LoopSelection::b, 300, 1),
                 row_of(5, LoopSelection::both, 400, 1)};
    const auto single = found<NoTensorSent>(day);
    ASSERT_TRUE(single);
    EXPECT_EQ(single->frequencies_hz, (std::vector<double>{200, 300, 400}));
    day.frequencies_hz = {100};
    EXPECT_FALSE(found<NoTensorSent>(day));
}

TEST(Findings, AMainsClashIsToldOnceAFrequency) {
    DayResult day = carried(1, 1, true);
    day.table = {row_of(1, LoopSelection::a, 150, 1, 3), row_of(2, LoopSelection::a, 170, 1),
                 row_of(3, LoopSelection::b, 150, 1, 3), row_of(4, LoopSelection::a, 250, 1, 5)};
    std::vector<MainsClash> clashes;
    const std::vector<Finding> findings = findings_of(day);
    for (const Finding& finding : findings)
        if (const auto* one = std::get_if<MainsClash>(&finding)) clashes.push_back(*one);
    ASSERT_EQ(clashes.size(), 2u);
    EXPECT_EQ(clashes[0].frequency_hz, 150);
    EXPECT_EQ(clashes[0].order, 3);
    EXPECT_EQ(clashes[1].order, 5);
}

StepOutcome step_of(int number, double current_a, bool complete) {
    StepOutcome step{};
    step.step_number = number;
    step.current_a_peak = current_a;
    step.limited_by = model::transmitter::Limit::voltage;
    step.complete = complete;
    return step;
}

TEST(Findings, AStepThatGivesLessThanNineTenthsIsTold) {
    DayResult day = carried(1, 1, true);
    day.table = {row_of(1, LoopSelection::a, 100, 10), row_of(2, LoopSelection::b, 200, 10),
                 row_of(3, LoopSelection::a, 300, 10)};
    EXPECT_FALSE(found<StepsBelowTarget>(day)) << "nothing was sent";
    SweepOutcome broken = attempt(1, BatterySpent{}), whole = attempt(1, {}), later = attempt(2, {});
    broken.steps = {step_of(1, 2, false)};  // an unfinished step tells nothing
    whole.steps = {step_of(1, 9.01, true), step_of(2, 8.99, true), step_of(3, 10, true)};
    later.steps = {step_of(1, 1, true)};  // the first sweep that has the step tells
    day.sweeps = {broken, whole, later};
    const auto weak = found<StepsBelowTarget>(day);
    ASSERT_TRUE(weak);
    ASSERT_EQ(weak->steps.size(), 1u);
    EXPECT_EQ(weak->steps[0].frequency_hz, 200);
    EXPECT_EQ(weak->steps[0].loop, LoopSelection::b);
    EXPECT_EQ(weak->steps[0].current_a_peak, 8.99);
    EXPECT_EQ(weak->steps[0].target_a_peak, 10);
    EXPECT_EQ(weak->steps[0].limited_by, model::transmitter::Limit::voltage);
}

}  // namespace findings_test
