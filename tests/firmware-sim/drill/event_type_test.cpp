#include "firmware-sim/site/event_type.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace event_type_test {

using namespace ampturn::sim::site;
using ampturn::core::State;
using ampturn::core::Trip;

std::vector<EventType> all_types() {
    std::vector<EventType> all{EventType::table_done(), EventType::story(), EventType::remark()};
    for (int i = 0; i <= static_cast<int>(Action::leave_shelter); ++i) {
        all.push_back(EventType::did(static_cast<Action>(i)));
        all.push_back(EventType::tried(static_cast<Action>(i)));
    }
    for (int i = 0; i <= static_cast<int>(Finding::clock_not_locked); ++i)
        all.push_back(EventType::found(static_cast<Finding>(i)));
    for (int i = 0; i <= static_cast<int>(Danger::sent_in_thunder); ++i)
        all.push_back(EventType::danger(static_cast<Danger>(i)));
    for (std::size_t i = 0; i < ampturn::core::state_count; ++i)
        all.push_back(EventType::state_entered(static_cast<State>(i)));
    for (std::size_t i = 0; i < ampturn::core::trip_count; ++i)
        all.push_back(EventType::tripped(static_cast<Trip>(i)));
    for (int i = 0; i < fault_count; ++i) {
        all.push_back(EventType::fault_set(static_cast<Fault>(i)));
        all.push_back(EventType::fault_cleared(static_cast<Fault>(i)));
    }
    return all;
}

TEST(EventType, EveryNameIsReadBack) {
    const std::vector<EventType> all = all_types();
    ASSERT_GT(all.size(), 100U);
    for (const EventType& type : all) EXPECT_EQ(event_type_named(name_of(type)), type) << name_of(type);
}

TEST(EventType, NamesAreTheOnesOfDrillFilesAndLogs) {
    EXPECT_EQ(name_of(EventType::did(Action::connect_loop_a)), "did:connect_loop_a");
    EXPECT_EQ(name_of(EventType::tried(Action::go)), "tried:go");
    EXPECT_EQ(name_of(EventType::found(Finding::area_clear)), "found:area_clear");
    EXPECT_EQ(name_of(EventType::danger(Danger::negative_first)), "danger:negative_first");
    EXPECT_EQ(name_of(EventType::state_entered(State::sending)), "state:sending");
    EXPECT_EQ(name_of(EventType::tripped(Trip::open_loop)), "trip:open_loop");
    EXPECT_EQ(name_of(EventType::fault_set(Fault::thunder_near)), "fault:thunder_near");
    EXPECT_EQ(name_of(EventType::fault_cleared(Fault::thunder_near)), "cleared:thunder_near");
    EXPECT_EQ(name_of(EventType::table_done()), "table:done");
    EXPECT_EQ(name_of(EventType::story()), "say:");
    EXPECT_EQ(name_of(EventType::remark()), "remark:");
}

TEST(EventType, RefusesWhatHasNoMeaning) {
    for (const char* name : {"", ":", "did", "did:", "did:stopp", "said:stop", "state:open_loop",
                             "table:", "say:x", "found:touched_while_armed", "fault:loose"})
        EXPECT_FALSE(event_type_named(name).has_value()) << name;
}

}  // namespace event_type_test
