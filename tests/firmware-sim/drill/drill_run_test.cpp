#include "firmware-sim/drill/drill_run.hpp"

#include <gtest/gtest.h>

namespace drill_run_test {

using namespace ampturn::sim::drill;
using namespace ampturn::sim::site;

Drill drill_with(std::vector<ScenarioEvent> events) {
    Drill drill;
    drill.events = std::move(events);
    drill.time_limit_s = 100;
    drill.ends_on = EventType::table_done();
    return drill;
}

std::vector<std::string> due(DrillRun& run, double time_s) {
    std::vector<std::string> names;
    for (const DrillRun::Order& order : run.take_due(time_s)) {
        names.push_back(order.set_fault     ? std::string("+") + info(*order.set_fault).name
                        : order.clear_fault ? std::string("-") + info(*order.clear_fault).name
                                            : order.say);
    }
    return names;
}

TEST(DrillRun, ActsInTimeAndOnce) {
    ScenarioEvent fault;
    fault.at_s = 10;
    fault.fault = Fault::thunder_near;
    fault.for_s = 5;
    ScenarioEvent story;
    story.at_s = 10;
    story.say = "a flash";
    DrillRun run(drill_with({fault, story}));
    EXPECT_EQ(run.next_due_s(), 10);
    EXPECT_TRUE(due(run, 9.9).empty());
    EXPECT_EQ(due(run, 10), (std::vector<std::string>{"+thunder_near", "a flash"}));
    EXPECT_EQ(run.next_due_s(), 15);
    EXPECT_EQ(due(run, 15), (std::vector<std::string>{"-thunder_near"}));
    EXPECT_EQ(run.next_due_s(), 100);
}

TEST(DrillRun, WaitsForEvents) {
    const EventType sending = EventType::state_entered(ampturn::core::State::sending);
    ScenarioEvent once, every;
    once.on = every.on = sending;
    once.after_s = 2;
    once.fault = Fault::open_loop_a;
    every.say = "again";
    every.every = true;
    DrillRun run(drill_with({once, every}));
    run.note({20, sending, "", ""});
    EXPECT_EQ(due(run, 30), (std::vector<std::string>{"again", "+open_loop_a"}));
    run.note({40, sending, "", ""});
    EXPECT_EQ(due(run, 50), (std::vector<std::string>{"again"}));
}

TEST(DrillRun, EndsOnItsGoalOrItsLimit) {
    DrillRun goal(drill_with({}));
    goal.note({30, EventType::table_done(), "", ""});
    EXPECT_TRUE(goal.over());
    EXPECT_EQ(goal.end_s(), 30);
    EXPECT_EQ(ended_by_text(goal), "the whole table sent");
    goal.note({31, EventType::state_entered(ampturn::core::State::standby), "", ""});
    EXPECT_EQ(goal.timeline().size(), 1U) << "what comes after the end does not count";
    DrillRun limit(drill_with({}));
    limit.take_due(100);
    EXPECT_TRUE(limit.over());
    EXPECT_EQ(limit.ended_by(), DrillEnd::time_limit);
}

}  // namespace drill_run_test
