#include "firmware-sim/drill/score.hpp"

#include <gtest/gtest.h>

using namespace ampturn::sim::drill;
using namespace ampturn::sim::site;
using ampturn::core::State;

namespace {

DrillEvent at(double time_s, const EventType& type) { return {time_s, type, "panel#1", ""}; }

template <class Test>
ScoreRule rule(const Test& test, double points, const char* id = "r") {
    ScoreRule r;
    r.test = test;
    r.id = id;
    r.points = points;
    r.reason = "because";
    return r;
}

RuleScore judge(const ScoreRule& r, const Timeline& timeline, double end_s = 1000) {
    Drill drill;
    drill.rules = {r};
    return score(drill, timeline, end_s).rules.at(0);
}

const EventType done = EventType::table_done();
const EventType stop = EventType::did(Action::stop);
const EventType sending = EventType::state_entered(State::sending);

TEST(Score, OrderGivesAShareForEachRightNeighbour) {
    const EventType a = EventType::did(Action::go), b = EventType::did(Action::stop),
                    c = EventType::did(Action::check_area), d = EventType::did(Action::acknowledge);
    const ScoreRule r = rule(ScoreRule::Order{{a, b, c, d}}, 9);
    EXPECT_EQ(judge(r, {at(1, a), at(2, b), at(3, c), at(4, d)}).points, 9);
    const RuleScore swapped = judge(r, {at(1, b), at(2, a), at(3, c), at(4, d)});
    EXPECT_EQ(swapped.points, 6);
    EXPECT_EQ(swapped.verdict, "stop at 00:01 came before go");
    EXPECT_EQ(judge(r, {at(1, a), at(2, b)}).verdict, "check area is missing");
    // Measured before and again after: the second time counts.
    EXPECT_EQ(judge(r, {at(0, c), at(1, a), at(2, b), at(3, c), at(4, d)}).points, 9);
    EXPECT_TRUE(judge(r, {}).tested);
    EXPECT_EQ(judge(r, {}).points, 0);
}

TEST(Score, BeforeAsksEveryTimeAndForgetsAtSince) {
    const EventType clear = EventType::found(Finding::area_clear);
    const EventType tripped = EventType::state_entered(State::tripped);
    ScoreRule::Before before{clear, sending, {}};
    EXPECT_FALSE(judge(rule(before, 10), {at(1, clear)}).tested);
    EXPECT_EQ(judge(rule(before, 10), {at(1, clear), at(2, sending), at(9, sending)}).points, 10);
    before.since = tripped;
    const RuleScore forgot =
        judge(rule(before, 10), {at(1, clear), at(2, sending), at(3, tripped), at(9, sending)});
    EXPECT_EQ(forgot.points, 5);
    EXPECT_EQ(forgot.verdict, "sending at 00:09 without area clear");
}

TEST(Score, WithinMeasuresTheReaction) {
    const EventType person = EventType::fault_set(Fault::person_in_ring);
    const ScoreRule r = rule(ScoreRule::Within{person, stop, 5}, 10);
    EXPECT_EQ(judge(r, {at(10, person), at(15, stop)}).points, 10);  // the limit itself is in time
    EXPECT_EQ(judge(r, {at(10, person), at(15.1, stop)}).points, 0);
    EXPECT_EQ(judge(r, {at(9, stop), at(10, person)}).points, 0);
    EXPECT_FALSE(judge(r, {at(9, stop)}).tested);
    EXPECT_FALSE(judge(r, {at(998, person)}).tested);  // ended before the time was up
}

TEST(Score, CountsAndCriticalRules) {
    const EventType touched = EventType::danger(Danger::touched_energised_loop);
    ScoreRule never = rule(ScoreRule::Never{touched}, 10);
    never.critical = true;
    const ScoreRule reached = rule(ScoreRule::Reached{done}, 90, "done");
    Drill drill;
    drill.rules = {never, reached};
    drill.pass_percent = 70;
    const Score good = score(drill, {at(5, done)}, 10);
    EXPECT_EQ(good.points, 100);
    EXPECT_TRUE(good.passed);
    const Score hurt = score(drill, {at(4, touched), at(5, done)}, 10);
    EXPECT_EQ(hurt.points, 90);
    EXPECT_FALSE(hurt.passed) << "90 % but somebody could have been hurt";
    const EventType go = EventType::did(Action::go);
    const ScoreRule at_most = rule(ScoreRule::AtMost{go, 1}, 4);
    EXPECT_EQ(judge(at_most, {at(1, go)}).points, 4);
    const RuleScore twice = judge(at_most, {at(1, go), at(2, go)});
    EXPECT_EQ(twice.points, 0);
    EXPECT_EQ(twice.verdict, "go, 2 times, first at 00:01");
}

TEST(Score, SaysEveryKindOfEventInPlainWords) {
    const std::pair<EventType, const char*> rows[] = {
        {EventType::tripped(ampturn::core::Trip::open_loop), "no trip open loop"},
        {EventType::fault_cleared(Fault::thunder_near), "no thunder near gone"},
        {EventType::tried(Action::key_arm), "no key arm (refused)"},
        {done, "no table done"},
        {EventType::found(Finding::loop_a_open), "no loop a open"},
    };
    for (const auto& [type, verdict] : rows)
        EXPECT_EQ(judge(rule(ScoreRule::Reached{type}, 1), {}).verdict, verdict);
}

TEST(Score, RulesNotPutToTheTestDoNotCount) {
    Drill drill;
    drill.rules = {rule(ScoreRule::Reached{done}, 10),
                   rule(ScoreRule::Within{EventType::fault_set(Fault::thunder_near), stop, 5}, 50, "w")};
    const Score result = score(drill, {at(1, done)}, 10);
    EXPECT_EQ(result.points_max, 10);
    EXPECT_EQ(result.percent, 100);
}

}  // namespace
