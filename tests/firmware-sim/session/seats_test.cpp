// The receiver crew's seat, the radio between the seats, and what the crew's records show of troubles that the unit cannot see.
#include <gtest/gtest.h>

#include "firmware-sim/course/drill_parts.hpp"
#include "tests/firmware-sim/session/session_bench.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace seats_test {

using namespace ampturn::sim::session;
using ampturn::sim::record::Role;

constexpr std::uint32_t crew = 7, stranger = 8;

/// The name of the last finding in the log, and its text behind a space.
std::string last_finding(const SessionBench& bench) {
    for (auto record = bench.records.rbegin(); record != bench.records.rend(); ++record)
        if (record->value("name", "").starts_with("found:"))
            return record->value("name", "").substr(6) + " " + record->value("text", "");
    return {};
}

void start(SessionBench& bench) {
    ASSERT_TRUE(bench.wait_state("standby"));
    ASSERT_TRUE(bench.act("key_arm"));
    ASSERT_TRUE(bench.act("go"));
    ASSERT_TRUE(bench.wait_state("sending"));
}

/// Until `step` (from 1) of the table is at full amplitude.
void come_to_dwell(SessionBench& bench, unsigned step) {
    const auto& unit = bench.session().site().unit().core();
    while (unit.progress().step_index + 1u != step || unit.progress().phase != ampturn::core::Phase::dwell)
        bench.session().run_until(bench.session().next_due());
    bench.wait_s(1);
}

TEST(ReceiverSeat, IsForOneWhoRecordsByHand) {
    SessionBench bench(SessionBench::practice());
    ASSERT_TRUE(bench.wait_state("standby"));
    ASSERT_TRUE(bench.act("call_receiver"));
    EXPECT_TRUE(last_finding(bench).starts_with("receiver_ready"))
        << "nobody there: the simulated crew answers";
    EXPECT_FALSE(bench.act("start_recording", crew)) << "not seated";
    EXPECT_FALSE(bench.panel(R"({"seat":"take"})", Role::watcher, crew));
    ASSERT_TRUE(bench.panel(R"({"seat":"take"})", Role::trainee, crew));
    EXPECT_FALSE(bench.panel(R"({"seat":"take"})", Role::trainee, stranger));
    EXPECT_NE(bench.last_reply["text"].get<std::string>().find("test#7"), std::string::npos);
    EXPECT_FALSE(bench.act("start_recording", stranger));
    ASSERT_TRUE(bench.act("call_receiver"));
    EXPECT_TRUE(last_finding(bench).starts_with("receiver_not_ready"));
    ASSERT_TRUE(bench.panel(R"({"do":"check_area"})")) << "two pairs of hands at once";
    ASSERT_TRUE(bench.panel(R"({"do":"start_recording"})", Role::trainee, crew));
    EXPECT_FALSE(bench.panel(R"({"do":"start_recording"})", Role::trainee, crew)) << "busy";
    bench.wait_s(30);
    ASSERT_TRUE(bench.act("call_receiver"));
    EXPECT_TRUE(last_finding(bench).starts_with("receiver_ready"));
    EXPECT_FALSE(bench.act("ask_crew_to_move")) << "there is somebody to talk to";
    bench.close(crew);
    EXPECT_TRUE(bench.session().site().receiver_seat().empty()) << "gone with the connection";
    EXPECT_TRUE(bench.panel(R"({"seat":"take"})", Role::trainee, stranger));
    EXPECT_TRUE(bench.panel(R"({"seat":"leave"})", Role::trainee, stranger));
}

TEST(Radio, CarriesWordsBothWaysWhileItWorks) {
    SessionBench bench(SessionBench::practice());
    EXPECT_FALSE(bench.panel(R"({"radio":"anybody?"})", Role::trainee)) << "nobody sits there";
    ASSERT_TRUE(bench.panel(R"({"seat":"take"})", Role::trainee, crew));
    ASSERT_TRUE(bench.panel(R"({"radio":"ready to start?"})", Role::trainee));
    EXPECT_EQ(bench.records.at(bench.records.size() - 2)["name"], "radio:transmitter");
    ASSERT_TRUE(bench.panel(R"({"radio":"STOP STOP STOP"})", Role::trainee, crew));
    EXPECT_EQ(bench.records.at(bench.records.size() - 2)["name"], "radio:receiver");
    EXPECT_EQ(bench.records.at(bench.records.size() - 2)["text"], "STOP STOP STOP");
    ASSERT_TRUE(bench.panel(R"({"fault":"radio_dead","on":true})"));
    EXPECT_FALSE(bench.panel(R"({"radio":"hello"})", Role::trainee, crew));
    ASSERT_TRUE(bench.act("call_receiver"));
    EXPECT_TRUE(last_finding(bench).starts_with("radio_silence"));
    ASSERT_TRUE(bench.act("change_radio"));
    EXPECT_TRUE(bench.panel(R"({"radio":"hello"})", Role::trainee, crew));
}

TEST(Records, ShowWhatTheUnitCannotSee) {
    // Definition: steps 1 and 2 of the practice table are loop A and loop B.
    const auto seen = [](const char* fault, unsigned step) {
        SessionBench bench(SessionBench::practice());
        bench.panel(R"({"seat":"take"})", Role::trainee, crew);
        EXPECT_TRUE(bench.act("start_recording", crew));
        if (*fault != 0) {
            EXPECT_TRUE(bench.panel(std::string("{\"fault\":\"") + fault + "\",\"on\":true}"));
        }
        start(bench);
        come_to_dwell(bench, step);
        EXPECT_TRUE(bench.act("look_at_records", crew));
        EXPECT_EQ(bench.word(), "sending") << fault;
        const std::string found = last_finding(bench);
        return found.substr(0, found.find(' '));
    };
    EXPECT_EQ(seen("", 1), "record_good");
    EXPECT_EQ(seen("", 2), "record_good");
    EXPECT_EQ(seen("plugs_exchanged", 1), "record_wrong_loop");
    EXPECT_EQ(seen("loop_a_reversed", 1), "record_reversed");
    EXPECT_EQ(seen("loop_a_reversed", 2), "record_good");
    EXPECT_EQ(seen("loop_b_reversed", 2), "record_reversed");
    EXPECT_EQ(seen("mast_down", 1), "record_weak");
    EXPECT_EQ(seen("mains_hum", 1), "record_clipped");
}

TEST(Records, AreWeakOffResonance) {
    // A plan whose lines are tuned: with capacitors 30 % off, the second frequency has less than 60 % of its current, and the unit
    // does not complain.
    SessionSetup setup = SessionBench::practice();
    setup.plan_path = ampturn::test::source_path("demo/tuned.toml");
    setup.plan_text = ampturn::test::read_whole_file(setup.plan_path);
    for (const bool drifted : {false, true}) {
        SessionBench bench(setup);
        if (drifted) bench.panel(R"({"fault":"capacitor_drifted","on":true})");
        start(bench);
        come_to_dwell(bench, 3);
        ASSERT_TRUE(bench.panel(R"({"do":"call_receiver"})"));
        bench.wait_s(8.5);
        EXPECT_EQ(bench.word(), "sending");
        EXPECT_TRUE(last_finding(bench).starts_with(drifted ? "record_weak" : "receiver_ready"))
            << last_finding(bench);
    }
}

TEST(StaleTable, IsFoundByItsChecksumAndSentIfNobodyLooks) {
    SessionBench bench(SessionBench::practice());
    ASSERT_TRUE(bench.wait_state("standby"));
    const auto cycles = [&bench] { return bench.session().site().unit().core().table().steps[0].cycles; };
    const std::uint32_t whole = cycles();
    ASSERT_TRUE(bench.act("key_arm"));
    ASSERT_TRUE(bench.panel(R"({"fault":"stale_table","on":true})"));
    EXPECT_TRUE(bench.session().site().table_is_right()) << "an armed unit takes no table";
    ASSERT_TRUE(bench.act("key_disarm"));
    EXPECT_FALSE(bench.session().site().table_is_right());
    EXPECT_EQ(cycles(), whole / 2);
    ASSERT_TRUE(bench.act("read_back_table"));
    EXPECT_TRUE(last_finding(bench).starts_with("table_stale"));
    EXPECT_NE(last_finding(bench).find(bench.session().site().transmitter().table_crc32), std::string::npos);
    ASSERT_TRUE(bench.act("key_arm"));
    EXPECT_FALSE(bench.act("load_table"));
    ASSERT_TRUE(bench.act("key_disarm"));
    ASSERT_TRUE(bench.act("load_table"));
    ASSERT_TRUE(bench.act("read_back_table"));
    EXPECT_TRUE(last_finding(bench).starts_with("table_right"));
}

TEST(MadeDrills, CanBeDoneWell) {
    // Every trouble that is there from the beginning: a drill made of it, with the way that the trouble's own fields describe.
    struct Row {
        const char *fault, *mend;
    };
    const std::string
        off = "disconnect_battery_negative disconnect_battery_positive disconnect_loop_a disconnect_loop_b ",
        on =
            " connect_loop_a connect_loop_b measure_battery connect_battery_positive connect_battery_negative ";
    const std::vector<std::pair<const char*, std::string>> rows{
        {"open_loop_a", off + "measure_loop_a replace_loop_a measure_loop_a" + on},
        {"wet_connector_b", off + "measure_loop_b dry_connectors measure_loop_b" + on},
        {"plugs_exchanged", off + "check_plugs set_plugs_right check_plugs" + on},
        {"cold_battery",
         "disconnect_battery_negative disconnect_battery_positive measure_battery warm_battery measure_battery "
         "connect_battery_positive connect_battery_negative "},
        {"clock_drift", "check_clock wait_for_lock check_clock "},
        {"stale_table", "read_back_table load_table read_back_table "},
        {"radio_dead", "call_receiver change_radio "},
        {"mains_hum", "call_receiver ask_crew_to_move "},
        {"person_in_ring", "send_people_away "},
    };
    for (const auto& [fault, mend] : rows) {
        ampturn::sim::course::DrillParts parts;
        parts.id = "made";
        parts.title = "Made";
        parts.troubles = {{*ampturn::sim::site::fault_named(fault), std::nullopt}};
        SessionSetup setup = SessionBench::practice();
        setup.drill_path = "made.toml";
        setup.drill_text = drill_toml(parts);
        SessionBench bench(setup);
        std::istringstream words(mend + "check_area call_receiver");
        for (std::string word; words >> word;)
            EXPECT_TRUE(bench.act(word)) << fault << " " << word << bench.last_reply;
        bench.wait_s(20);
        if (bench.word() == "tripped") bench.act("acknowledge");
        start(bench);
        bench.wait_s(200);
        const nlohmann::json debrief = bench.session().debrief(Role::trainer);
        EXPECT_TRUE(debrief["passed"]) << fault;
        EXPECT_GE(debrief["percent"].get<double>(), 99.9)
            << fault << debrief["rules"].dump(1) << debrief["needless"];
    }
}

}  // namespace seats_test
