#include "firmware-sim/drill/score.hpp"

#include <gtest/gtest.h>

using namespace ampturn::sim;
using Kind = ScoreRule::Kind;

namespace {

Happening at(double time_s, const char* name) { return {time_s, name, "panel#1", ""}; }

ScoreRule rule(Kind kind, double points) {
    ScoreRule r;
    r.kind = kind;
    r.id = "r";
    r.points = points;
    r.reason = "because";
    return r;
}

RuleScore judge(const ScoreRule& r, const Timeline& timeline, double end_s = 1000) {
    Drill drill;
    drill.rules = {r};
    return score(drill, timeline, end_s).rules.at(0);
}

TEST(Score, OrderGivesAShareForEachRightNeighbour) {
    ScoreRule r = rule(Kind::order, 9);
    r.steps = {"did:a", "did:b", "did:c", "did:d"};
    EXPECT_EQ(judge(r, {at(1, "did:a"), at(2, "did:b"), at(3, "did:c"), at(4, "did:d")}).points, 9);
    const RuleScore swapped = judge(r, {at(1, "did:b"), at(2, "did:a"), at(3, "did:c"), at(4, "did:d")});
    EXPECT_EQ(swapped.points, 6);
    EXPECT_EQ(swapped.verdict, "b at 00:01 came before a");
    EXPECT_EQ(judge(r, {at(1, "did:a"), at(2, "did:b")}).verdict, "c is missing");
    // Measured before and again after: the second time counts.
    EXPECT_EQ(
        judge(r, {at(0, "did:c"), at(1, "did:a"), at(2, "did:b"), at(3, "did:c"), at(4, "did:d")}).points, 9);
    EXPECT_TRUE(judge(r, {}).tested);
    EXPECT_EQ(judge(r, {}).points, 0);
}

TEST(Score, BeforeAsksEveryTimeAndForgetsAtSince) {
    ScoreRule r = rule(Kind::before, 10);
    r.first = "found:area_clear";
    r.then = "state:sending";
    EXPECT_FALSE(judge(r, {at(1, "found:area_clear")}).tested);
    EXPECT_EQ(judge(r, {at(1, "found:area_clear"), at(2, "state:sending"), at(9, "state:sending")}).points,
              10);
    r.since = "state:tripped";
    const RuleScore forgot = judge(r, {at(1, "found:area_clear"), at(2, "state:sending"),
                                       at(3, "state:tripped"), at(9, "state:sending")});
    EXPECT_EQ(forgot.points, 5);
    EXPECT_EQ(forgot.verdict, "sending at 00:09 without area clear");
}

TEST(Score, WithinMeasuresTheReaction) {
    ScoreRule r = rule(Kind::within, 10);
    r.after = "fault:person_in_ring";
    r.expect = "did:stop";
    r.seconds = 5;
    EXPECT_EQ(judge(r, {at(10, "fault:person_in_ring"), at(15, "did:stop")}).points,
              10);  // the limit itself is in time
    EXPECT_EQ(judge(r, {at(10, "fault:person_in_ring"), at(15.1, "did:stop")}).points, 0);
    EXPECT_EQ(judge(r, {at(9, "did:stop"), at(10, "fault:person_in_ring")}).points, 0);
    EXPECT_FALSE(judge(r, {at(9, "did:stop")}).tested);
    EXPECT_FALSE(judge(r, {at(998, "fault:person_in_ring")}).tested);  // ended before the time was up
}

TEST(Score, CountsAndCriticalRules) {
    ScoreRule never = rule(Kind::never, 10);
    never.happening = "danger:touched_energised_loop";
    never.critical = true;
    ScoreRule reached = rule(Kind::reached, 90);
    reached.id = "done";
    reached.happening = "table:done";
    Drill drill;
    drill.rules = {never, reached};
    drill.pass_percent = 70;
    const Score good = score(drill, {at(5, "table:done")}, 10);
    EXPECT_EQ(good.points, 100);
    EXPECT_TRUE(good.passed);
    const Score hurt = score(drill, {at(4, "danger:touched_energised_loop"), at(5, "table:done")}, 10);
    EXPECT_EQ(hurt.points, 90);
    EXPECT_FALSE(hurt.passed) << "90 % but somebody could have been hurt";
    ScoreRule at_most = rule(Kind::at_most, 4);
    at_most.happening = "did:go";
    at_most.count = 1;
    EXPECT_EQ(judge(at_most, {at(1, "did:go")}).points, 4);
    EXPECT_EQ(judge(at_most, {at(1, "did:go"), at(2, "did:go")}).points, 0);
}

TEST(Score, RulesNotPutToTheTestDoNotCount) {
    ScoreRule reached = rule(Kind::reached, 10);
    reached.happening = "table:done";
    ScoreRule within = rule(Kind::within, 50);
    within.id = "w";
    within.after = "fault:thunder_near";
    within.expect = "did:stop";
    within.seconds = 5;
    Drill drill;
    drill.rules = {reached, within};
    const Score result = score(drill, {at(1, "table:done")}, 10);
    EXPECT_EQ(result.points_max, 10);
    EXPECT_EQ(result.percent, 100);
}

}  // namespace
