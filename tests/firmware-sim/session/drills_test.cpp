// Every drill of the demo can be passed by somebody who does it well, and is not passed by somebody who does
// nothing or is careless.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/firmware-sim/session/session_bench.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace drills_test {

using namespace ampturn::sim::drill;
using namespace ampturn::sim::session;
using namespace ampturn::sim::site;

SessionSetup drill_setup(const std::string& name) {
    SessionSetup setup = SessionBench::practice();
    setup.drill_path = ampturn::test::source_path("demo/drills/") + name + ".toml";
    std::ifstream file(setup.drill_path);
    std::stringstream text;
    text << file.rdbuf();
    setup.drill_text = text.str();
    return setup;
}

bool happened(SessionBench& bench, const std::string& name) {
    const EventType wanted = event_type_named(name).value();
    for (const DrillEvent& event : bench.session().drill()->timeline()) {
        if (event.type == wanted) return true;
    }
    return false;
}

/// Words: an action; "is:STATE" waits for a state; "on:HAPPENING" waits for a happening; a number waits seconds.
void follow(SessionBench& bench, const std::string& script) {
    std::istringstream words(script);
    std::string word;
    while (words >> word) {
        if (word.starts_with("is:")) {
            ASSERT_TRUE(bench.wait_state(word.substr(3), 1800)) << word << ", but " << bench.word();
        } else if (word.starts_with("on:")) {
            for (int i = 0; i < 6000 && !happened(bench, word.substr(3)); ++i) bench.wait_s(0.2);
            ASSERT_TRUE(happened(bench, word.substr(3))) << word << ", but " << bench.word();
        } else if (word.find_first_not_of("0123456789.") == std::string::npos) {
            bench.wait_s(std::stod(word));
        } else {
            ASSERT_TRUE(bench.act(word)) << word << ": " << bench.last_reply.dump() << " in " << bench.word();
        }
    }
}

constexpr const char* loops = " measure_loop_a measure_loop_b connect_loop_a connect_loop_b ";
constexpr const char* on = " measure_battery connect_battery_positive connect_battery_negative is:standby ";
constexpr const char* off = " disconnect_battery_negative disconnect_battery_positive ";
constexpr const char* start = " check_area call_receiver key_arm go is:sending ";

std::string well_done(const std::string& drill) {
    const std::string l = loops, n = on, f = off, s = start;
    if (drill == "first_start") return l + n + s + "on:table:done" + f;
    if (drill == "somebody_in_the_ring") {
        return s + "on:fault:person_in_ring 2 stop is:standby send_people_away" + s + "on:table:done";
    }
    if (drill == "waiting_for_the_crew")
        return "check_area call_receiver 90 call_receiver key_arm go on:table:done";
    if (drill == "reversed_leads") return l + "measure_battery swap_leads" + n + s + "on:table:done";
    if (drill == "broken_cable") {
        return s + "is:tripped" + f +
               "disconnect_loop_a measure_loop_a replace_loop_a measure_loop_a connect_loop_a" + n + s +
               "on:table:done";
    }
    if (drill == "loose_plug") {
        return s + "is:tripped" + f +
               "disconnect_loop_b measure_loop_b remake_connectors measure_loop_b connect_loop_b" + n + s +
               "on:table:done";
    }
    if (drill == "wet_plugs") {
        return "measure_loop_a dry_connectors measure_loop_a measure_loop_b connect_loop_a connect_loop_b" +
               n + s + "on:table:done";
    }
    if (drill == "tired_battery") return l + "measure_battery swap_battery" + n + s + "on:table:done";
    if (drill == "lost_lock") {
        return "check_clock" + s + "is:tripped wait_for_lock check_clock acknowledge is:standby" + s +
               "on:table:done";
    }
    if (drill == "hot_noon") return "clear_vents 900" + s + "on:table:done";
    if (drill == "thunder")
        return s + "on:fault:thunder_near 3 stop is:standby" + f +
               "disconnect_loop_a disconnect_loop_b take_shelter";
    if (drill == "everything_at_once") {
        return "measure_loop_a measure_loop_b dry_connectors measure_loop_b connect_loop_a "
               "connect_loop_b measure_battery swap_battery" +
               n + s + "is:tripped" + f +
               "disconnect_loop_a measure_loop_a remake_connectors measure_loop_a connect_loop_a" + n +
               "on:fault:person_in_ring send_people_away" + s + "on:table:done";
    }
    const std::string unplug = "disconnect_loop_a disconnect_loop_b ",
                      plug = " connect_loop_a connect_loop_b ";
    if (drill == "swapped_plugs")
        return "check_plugs" + f + unplug + "set_plugs_right check_plugs" + plug + n + s + "on:table:done";
    if (drill == "reversed_loop")
        return s + "8 call_receiver on:found:record_reversed stop is:standby" + f + unplug +
               "set_plugs_right check_plugs" + plug + n + s + "on:table:done";
    if (drill == "stale_table")
        return "is:standby read_back_table load_table read_back_table" + s + "on:table:done";
    if (drill == "drifted_capacitor")
        return "is:standby" + f + unplug + "measure_capacitor replace_capacitor measure_capacitor" + plug +
               n + s + "on:table:done";
    if (drill == "gust")
        return s + "on:fault:mast_down 2 stop is:standby" + f + unplug +
               "look_at_masts raise_mast look_at_masts" + plug + n + s + "on:table:done";
    if (drill == "radio_silence")
        return "check_area call_receiver change_radio call_receiver key_arm go on:table:done";
    if (drill == "empty_spare")
        return l + "measure_battery swap_battery measure_battery swap_battery" + n + s + "on:table:done";
    if (drill == "power_line")
        return "check_area call_receiver ask_crew_to_move call_receiver key_arm go on:table:done";
    return {};
}

TEST(DrillsAccept, EveryWayOfTakingTheCurrentOff) {
    // Definition: a stop, an emergency stop and the key to SAFE are all right; each within the time gets all points.
    for (const char* drill : {"somebody_in_the_ring", "thunder"})
        for (const char* way : {"stop", "emergency_stop", "key_disarm"}) {
            SessionBench bench(drill_setup(drill));
            const std::string fault = std::string(drill) == "thunder" ? "thunder_near" : "person_in_ring";
            follow(bench, std::string(start) + "on:fault:" + fault + " 2 " + way);
            bench.wait_s(30);
            const nlohmann::json debrief = bench.session().debrief(ampturn::sim::record::Role::trainer);
            int stops = 0;
            for (const nlohmann::json& rule : debrief["rules"]) {
                if (rule["id"] != "stopped" && rule["id"] != "stopped_at_once") continue;
                ++stops;
                EXPECT_EQ(rule["points"], rule["points_max"]) << drill << ", " << way << ": " << rule.dump();
            }
            EXPECT_EQ(stops, 1) << drill;
        }
}

TEST(Dangers, AreToldAtOnceAndAgainWhileTheyLast) {
    // Definition: at the moment it begins, then every ten seconds, no more once the current is off.
    for (const char* fault : {"person_in_ring", "thunder_near"}) {
        SessionBench bench(SessionBench::practice());
        follow(bench, start);
        const auto told = [&] {
            std::vector<double> times;
            for (const auto& record : bench.records)
                if (record.value("name", "").find("while_energised") != std::string::npos)
                    times.push_back(record.value("tick", 0.0) / bench.session().clock_hz());
            return times;
        };
        const double now_s = bench.session().site().now_s();
        ASSERT_TRUE(told().empty());
        ASSERT_TRUE(bench.panel(std::string("{\"fault\":\"") + fault + "\",\"on\":true}"));
        ASSERT_EQ(told().size(), 1u) << fault;
        EXPECT_NEAR(told().front(), now_s, 0.01) << "at once";
        bench.wait_s(10.5);
        EXPECT_EQ(told().size(), 2u) << fault;
        ASSERT_TRUE(bench.act("stop"));
        bench.wait_s(30);
        EXPECT_EQ(told().size(), 2u) << fault;
    }
}

class Drills : public ::testing::TestWithParam<std::string> {};

TEST_P(Drills, DoneWellIsPassed) {
    const std::string script = well_done(GetParam());
    ASSERT_FALSE(script.empty()) << "no script for " << GetParam();
    SessionBench bench(drill_setup(GetParam()));
    follow(bench, script);
    bench.wait_s(1);
    const nlohmann::json debrief = bench.session().debrief(ampturn::sim::record::Role::trainer);
    EXPECT_TRUE(debrief["over"]) << GetParam();
    EXPECT_TRUE(debrief["passed"]);
    EXPECT_GE(debrief["percent"].get<double>(), 99.9) << debrief["rules"].dump(1);
}

TEST_P(Drills, PressingEverythingCosts) {
    // Law: the same drill done well, but every check and repair pressed first, gets fewer points and says why; done
    // badly (at once, nothing looked at) it tells another story again.
    const auto debrief_of = [&](const std::string& script, bool to_the_end) {
        SessionBench bench(drill_setup(GetParam()));
        if (to_the_end) {
            follow(bench, script);
        } else {
            for (const char* action : {"connect_battery_negative", "connect_battery_positive",
                                       "connect_loop_a", "connect_loop_b", "key_arm", "go"})
                bench.act(action);
        }
        bench.wait_s(30);
        bench.panel(R"({"drill":"finish"})");
        return bench.session().debrief(ampturn::sim::record::Role::trainer);
    };
    const std::string everything =
        "check_area check_area call_receiver call_receiver send_people_away clear_vents ";
    const nlohmann::json well = debrief_of(well_done(GetParam()), true),
                         all = debrief_of(everything + well_done(GetParam()), true),
                         badly = debrief_of("", false);
    EXPECT_LT(all["percent"].get<double>(), well["percent"].get<double>()) << all.dump(1);
    EXPECT_FALSE(all["needless"].empty());
    EXPECT_TRUE(well["needless"].empty()) << well["needless"].dump();
    EXPECT_LT(badly["percent"].get<double>(), well["percent"].get<double>());
    EXPECT_NE(badly["rules"], all["rules"]);
    for (const nlohmann::json* debrief : {&well, &all, &badly})
        for (const char* raw : {"did:", "found:", "table:", "state:"})
            EXPECT_EQ((*debrief)["goal"].dump().find(raw) + (*debrief)["ended_by"].dump().find(raw),
                      2 * std::string::npos)
                << raw;
}

TEST_P(Drills, DoingNothingIsNotPassed) {
    SessionBench bench(drill_setup(GetParam()));
    bench.wait_s(bench.session().drill()->drill().time_limit_s + 1);
    const nlohmann::json debrief = bench.session().debrief(ampturn::sim::record::Role::trainer);
    EXPECT_TRUE(debrief["over"]);
    EXPECT_EQ(debrief["ended_by"], "time limit");
    EXPECT_FALSE(debrief["passed"]) << debrief["rules"].dump(1);
    EXPECT_EQ(debrief["points"], 0) << "doing nothing gets nothing";
}

TEST_P(Drills, HandsOnAnEnergisedLoopAreNeverPassed) {
    SessionBench bench(drill_setup(GetParam()));
    bench.act("connect_loop_a");
    bench.act("connect_loop_b");
    bench.act("connect_battery_positive");
    bench.act("connect_battery_negative");
    if (!bench.wait_state("standby", 30)) GTEST_SKIP() << "the drill begins with a trip";
    bench.act("key_arm");
    bench.act("go");
    if (!bench.wait_state("sending", 30)) GTEST_SKIP() << "the drill keeps the unit from sending";
    bench.act("disconnect_loop_b");
    bench.wait_s(5);
    bench.panel(R"({"drill":"finish"})");
    EXPECT_FALSE(bench.session().debrief(ampturn::sim::record::Role::trainer)["passed"]);
    EXPECT_TRUE(happened(bench, "danger:touched_energised_loop"));
}

struct FaultRow {
    const char* fault;
    const char* trip;
};

class Faults : public ::testing::TestWithParam<FaultRow> {};

/// The unit is told of no fault; its own measurements must find these while a long table runs.
TEST_P(Faults, AreFoundByMeasuring) {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    ASSERT_TRUE(bench.wait_state("standby"));
    bench.ask("LIST:FREQ 24;CURR 8;DWEL 600;LOOP A,B,A,B;TAP 3;CAP 0");
    bench.ask("ARM;INIT");
    EXPECT_EQ(bench.ask("SYST:ERR?"), "0,\"No error\"");
    ASSERT_TRUE(bench.wait_state("sending"));
    bench.wait_s(5);
    bench.panel(std::string("{\"fault\":\"") + GetParam().fault + "\",\"on\":true}");
    ASSERT_TRUE(bench.wait_state("tripped", 2300))
        << bench.word() << " " << bench.session().status_json()["measured"].dump();
    EXPECT_EQ(bench.ask("OUTP:PROT:TRIP:CAUS?"), GetParam().trip);
    EXPECT_EQ(bench.ask("OUTP?"), "0");
}

INSTANTIATE_TEST_SUITE_P(
    Site, Faults,
    ::testing::Values(FaultRow{"open_loop_a", "open_loop"}, FaultRow{"open_loop_b", "open_loop"},
                      FaultRow{"loose_connector_a", "open_loop"}, FaultRow{"weak_battery", "under_voltage"},
                      FaultRow{"clock_drift", "clock_fault"}, FaultRow{"reversed_leads", "reversed_supply"},
                      FaultRow{"blocked_vents", "over_temperature_electronics"}),
    [](const auto& one) { return std::string(one.param.fault); });

TEST(DrillsDoneBadly, TheTiredBatteryDiesInTheSweep) {
    SessionBench bench(drill_setup("tired_battery"));
    follow(bench,
           "connect_loop_a connect_loop_b connect_battery_positive connect_battery_negative "
           "is:standby key_arm go is:tripped");
    EXPECT_TRUE(happened(bench, "trip:under_voltage"));
}

TEST(DrillsDoneBadly, TheHotUnitRefusesToBeArmed) {
    SessionBench bench(drill_setup("hot_noon"));
    follow(bench, "is:standby");
    EXPECT_FALSE(bench.act("key_arm"));
    EXPECT_NE(bench.last_reply["text"].get<std::string>().find("cool"), std::string::npos);
}

TEST(FaultsAtRest, SelfCheckFindsAShort) {
    SessionBench bench(SessionBench::practice());
    ASSERT_TRUE(bench.wait_state("standby"));
    bench.act("disconnect_battery_negative");
    bench.panel(R"({"fault":"shorted_loop_b","on":true})");
    bench.act("connect_battery_negative");
    ASSERT_TRUE(bench.wait_state("tripped", 20)) << bench.word();
    bench.open(1);
    EXPECT_EQ(bench.ask("OUTP:PROT:TRIP:CAUS?"), "shorted_loop");
}

/// A short of the loop that sends, at one step of a plan's table.
void short_at_step(const std::string& plan, std::uint32_t step_number) {
    SessionSetup setup = SessionBench::practice();
    if (!plan.empty()) {
        setup.plan_path = ampturn::test::source_path(plan);
        setup.plan_text = ampturn::test::read_whole_file(setup.plan_path);
    }
    SessionBench bench(setup);
    ASSERT_TRUE(bench.wait_state("standby"));
    ASSERT_TRUE(bench.act("key_arm"));
    ASSERT_TRUE(bench.act("go"));
    const auto& core = bench.session().site().unit().core();
    while (core.progress().step_index + 1u != step_number ||
           core.progress().phase != ampturn::core::Phase::dwell)
        bench.session().run_until(bench.session().next_due());
    const bool a = core.drive().selection.loop == ampturn::core::Loop::a;
    ASSERT_TRUE(bench.panel(std::string("{\"fault\":\"shorted_loop_") + (a ? "a" : "b") + "\",\"on\":true}"));
    bench.wait_s(1);
    const std::string where = plan + " step " + std::to_string(step_number);
    EXPECT_EQ(bench.word(), "tripped") << where;
    EXPECT_EQ(core.first_trip(), ampturn::core::Trip::shorted_loop) << where;
    EXPECT_FALSE(core.drive().on) << where;
}

TEST(FaultsUnderDrive, AShortTripsAsAShortAtEveryStep) {
    // Definition, with the plant's own currents: practice table of six steps, the demo plan's of eight.
    for (std::uint32_t step = 1; step <= 6; ++step) short_at_step("", step);
    for (std::uint32_t step = 1; step <= 8; ++step) short_at_step("demo/quick.toml", step);
    for (const std::uint32_t step : {1u, 18u, 27u, 36u}) short_at_step("demo/vesslarook.toml", step);
}

TEST(FaultsAtRest, AColdBatteryFallsUnderLoad) {
    SessionBench warm(SessionBench::practice()), cold(SessionBench::practice());
    double volts[2] = {0, 0};
    int i = 0;
    for (SessionBench* bench : {&warm, &cold}) {
        bench->open(1);
        bench->wait_state("standby");
        if (bench == &cold) bench->panel(R"({"fault":"cold_battery","on":true})");
        bench->ask("ARM;INIT");
        bench->wait_state("sending");
        bench->wait_s(5);
        volts[i++] = std::stod(bench->ask("MEAS:VOLT?"));
    }
    EXPECT_LT(volts[1], volts[0]);
}

std::vector<std::string> drill_names() {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(ampturn::test::source_path("demo/drills"))) {
        if (entry.path().extension() == ".toml") names.push_back(entry.path().stem().string());
    }
    std::sort(names.begin(), names.end());
    return names;
}

TEST(DrillNames, AreThoseOfTheDemo) { EXPECT_EQ(drill_names().size(), 20u); }

INSTANTIATE_TEST_SUITE_P(Demo, Drills, ::testing::ValuesIn(drill_names()),
                         [](const auto& one) { return one.param; });

}  // namespace drills_test
