#include "firmware-sim/drill/score.hpp"

#include <gtest/gtest.h>

namespace score_test {

using namespace ampturn::sim::drill;
using namespace ampturn::sim::site;
using ampturn::core::State;

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

// Whoever does nothing gets nothing; this is something.
const DrillEvent hands = at(0, EventType::did(Action::connect_loop_a));
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
    EXPECT_EQ(judge(r, {at(1, a), at(2, b)}).verdict, "walk the ring is missing");
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
    EXPECT_EQ(judge(rule(before, 10), {hands, at(1, clear), at(2, sending), at(9, sending)}).points, 10);
    before.since = tripped;
    const RuleScore forgot =
        judge(rule(before, 10), {hands, at(1, clear), at(2, sending), at(3, tripped), at(9, sending)});
    EXPECT_EQ(forgot.points, 5);
    EXPECT_EQ(forgot.verdict, "the unit sending at 00:09 without finding area clear");
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
    const Score good = score(drill, {hands, at(5, done)}, 10);
    EXPECT_EQ(good.points, 100);
    EXPECT_TRUE(good.passed);
    const Score hurt = score(drill, {hands, at(4, touched), at(5, done)}, 10);
    EXPECT_EQ(hurt.points, 90);
    EXPECT_FALSE(hurt.passed) << "90 % but somebody could have been hurt";
    const EventType go = EventType::did(Action::go);
    const ScoreRule at_most = rule(ScoreRule::AtMost{go, 1}, 4);
    EXPECT_EQ(judge(at_most, {at(1, go)}).points, 4);
    const RuleScore twice = judge(at_most, {at(1, go), at(2, go)});
    EXPECT_EQ(twice.points, 0);
    EXPECT_EQ(twice.verdict, "go, 2 times, first at 00:01");
}

TEST(Score, DoingNothingGetsNothing) {
    // Definition: not even the points for what was left undone.
    Drill drill;
    drill.rules = {rule(ScoreRule::Never{EventType::danger(Danger::touched_energised_loop)}, 40),
                   rule(ScoreRule::AtMost{EventType::did(Action::go), 1}, 10)};
    drill.rules[0].critical = true;
    const Score idle = score(drill, {at(5, EventType::fault_set(Fault::thunder_near))}, 10);
    EXPECT_EQ(idle.points, 0);
    EXPECT_EQ(idle.points_max, 0);
    EXPECT_EQ(idle.rules[0].verdict, "nothing was done");
    EXPECT_TRUE(idle.missed_musts.empty()) << "nobody touched the loop";
    EXPECT_FALSE(idle.passed);
    EXPECT_EQ(score(drill, {hands}, 10).points, 50);
}

TEST(Score, NeedlessWorkCosts) {
    // Definition: a repair that mends nothing, a look that shows again what it has just shown.
    const EventType look = EventType::did(Action::measure_loop_a),
                    good = EventType::found(Finding::loop_a_good),
                    open = EventType::found(Finding::loop_a_open),
                    lay = EventType::did(Action::replace_loop_a);
    Drill drill;
    drill.rules = {rule(ScoreRule::Reached{done}, 100)};
    const auto needless = [&](const Timeline& timeline) { return score(drill, timeline, 100).needless; };
    EXPECT_EQ(needless({at(1, look), at(1, good), at(9, done)}).size(), 0u);
    EXPECT_EQ(needless({at(1, look), at(1, good), at(2, look), at(2, good)}).size(), 1u) << "nothing between";
    EXPECT_EQ(needless({at(1, look), at(1, open), at(2, look), at(2, good)}).size(), 0u) << "something new";
    EXPECT_EQ(needless({at(1, look), at(1, good), at(2, sending), at(3, look), at(3, good)}).size(), 0u);
    EXPECT_EQ(needless({at(1, lay), at(1, EventType::fault_cleared(Fault::open_loop_a))}).size(), 0u);
    const Score twice = score(drill, {at(1, lay), at(5, lay), at(9, done)}, 10);
    EXPECT_EQ(twice.points, 100 - 2 * needless_costs);
    EXPECT_EQ(twice.needless.at(0), "lay spare cable A at 00:01");
    drill.good = {{EventType::did(Action::replace_loop_a), "lay it", "because"}};
    EXPECT_EQ(needless({at(1, lay), at(5, lay)}).size(), 1u) << "the good steps ask for one";
}

TEST(Score, DangersThatNoRuleNamesCost) {
    Drill drill;
    drill.rules = {rule(ScoreRule::Reached{done}, 100)};
    drill.ends_on = done;
    const EventType negative = EventType::danger(Danger::negative_first);
    const Score once = score(drill, {hands, at(1, negative), at(2, negative), at(9, done)}, 10);
    EXPECT_EQ(once.points, 100 - danger_costs) << "each kind once";
    EXPECT_EQ(once.dangers.size(), 1u);
    drill.rules.push_back(rule(ScoreRule::Never{negative}, 5, "n"));
    EXPECT_EQ(score(drill, {hands, at(1, negative), at(9, done)}, 10).points, 100)
        << "its rule has taken 5 of 105";
    EXPECT_EQ(score(drill, {hands, at(9, done)}, 10).goal, "Goal reached at 00:09: the whole table sent.");
}

TEST(Score, SaysEveryKindOfEventInPlainWords) {
    const std::pair<EventType, const char*> rows[] = {
        {EventType::tripped(ampturn::core::Trip::open_loop), "never: the trip open loop"},
        {EventType::fault_cleared(Fault::thunder_near),
         "never: the end of the trouble \"thunder: flash to bang 20 s\""},
        {EventType::tried(Action::key_arm), "never: turn key to ARM (refused)"},
        {done, "never: the whole table sent"},
        {EventType::found(Finding::loop_a_open), "never: finding loop a open"},
    };
    for (const auto& [type, verdict] : rows)
        EXPECT_EQ(judge(rule(ScoreRule::Reached{type}, 1), {}).verdict, verdict);
}

TEST(Score, RulesNotPutToTheTestDoNotCount) {
    Drill drill;
    drill.rules = {rule(ScoreRule::Reached{done}, 10),
                   rule(ScoreRule::Within{EventType::fault_set(Fault::thunder_near), stop, 5}, 50, "w")};
    const Score result = score(drill, {hands, at(1, done)}, 10);
    EXPECT_EQ(result.points_max, 10);
    EXPECT_EQ(result.percent, 100);
}

}  // namespace score_test
