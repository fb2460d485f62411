#include <gtest/gtest.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <new>
#include <random>

#include "firmware-sim/host/replay.hpp"
#include "firmware-sim/session/whole_characters.hpp"
#include "tests/firmware-sim/session/session_bench.hpp"

namespace session_test {

using namespace ampturn::sim::host;
using namespace ampturn::sim::record;
using namespace ampturn::sim::session;

TEST(Roles, ATraineeLearnsOfFaultsByLooking) {
    // Definition: what is the trainer's is not in what the trainee is sent, until the drill is over.
    SessionBench bench(SessionBench::practice());
    ASSERT_TRUE(bench.wait_state("standby"));
    for (const char* asked :
         {R"({"fault":"open_loop_a","on":true})", R"({"pace":"speed 10"})", R"({"remark":"x"})"}) {
        EXPECT_FALSE(bench.panel(asked, Role::trainee)) << asked;
        EXPECT_FALSE(bench.panel(asked, Role::watcher)) << asked;
    }
    EXPECT_FALSE(bench.session().site().has(ampturn::sim::site::Fault::open_loop_a));
    ASSERT_TRUE(bench.panel(R"({"fault":"open_loop_a","on":true})"));
    const Session& session = bench.session();
    for (const Role role : {Role::watcher, Role::trainee}) {
        EXPECT_FALSE(session.status_json(role).contains("faults"));
        EXPECT_EQ(session.hello_json(role).dump().find("open_loop_a"), std::string::npos);
        EXPECT_EQ(session.debrief(role).dump().find("open_loop_a"), std::string::npos) << "free practice";
    }
    EXPECT_EQ(session.status_json(Role::trainer)["faults"], nlohmann::json::array({"open_loop_a"}));
    EXPECT_NE(session.hello_json(Role::trainer).dump().find("open_loop_a"), std::string::npos);
}

TEST(Pace, UnknownWordsAreRefused) {
    SessionBench bench(SessionBench::practice());
    for (const char* good : {"pause", "resume", "speed 60", "speed max", "step 10"})
        EXPECT_TRUE(bench.panel(std::string("{\"pace\":\"") + good + "\"}")) << good;
    for (const char* bad : {"faster", "speed", "speed 0", "speed 1e9", "speed 10x", "step 0", "step 4000",
                            "step nan", "pause 3"})
        EXPECT_FALSE(bench.panel(std::string("{\"pace\":\"") + bad + "\"}")) << bad;
}

TEST(WholeCharacters, CutBetweenCharactersOnly) {
    const std::string text =
        "a\xc3\xa9\xe2\x82\xac";  // a, e with acute, euro sign: 1, 2 and 3 bytes of UTF-8
    EXPECT_EQ(whole_characters(text, 6), text);
    EXPECT_EQ(whole_characters(text, 5), text.substr(0, 3));
    EXPECT_EQ(whole_characters(text, 2), "a");
    EXPECT_EQ(whole_characters(text, 0), "");
}

// Cut in the middle of a character it was no JSON for log and panels, and the unit stopped.
TEST(Panel, LongWordsAreCutBetweenCharacters) {
    SessionBench bench(SessionBench::practice());
    std::string words = "a";
    for (int i = 0; i < 300; ++i) words += "\xc3\xa9";
    ASSERT_TRUE(bench.panel(R"({"seat":"take"})", Role::trainee, 101));
    for (const char* key : {"remark", "radio"}) {
        const std::size_t before = bench.records.size();
        EXPECT_TRUE(bench.panel("{\"" + std::string(key) + "\":\"" + words + "\"}")) << key;
        bool found = false;
        for (std::size_t i = before; i < bench.records.size(); ++i) {
            const std::string text = bench.records[i].value("text", "");
            found = found ||
                    text == words.substr(0, 499);  // definition: at most 500 bytes, and a character has two
            EXPECT_NO_THROW((void)bench.records[i].dump());
        }
        EXPECT_TRUE(found) << key;
    }
}

TEST(Roles, StoppingIsForEverybody) {
    for (const char* way : {"stop", "emergency_stop"}) {
        SessionBench bench(SessionBench::practice());
        ASSERT_TRUE(bench.wait_state("standby"));
        EXPECT_FALSE(bench.panel(R"({"do":"key_arm"})", Role::watcher));
        ASSERT_TRUE(bench.act("key_arm"));
        ASSERT_TRUE(bench.act("go"));
        ASSERT_TRUE(bench.wait_state("sending"));
        EXPECT_TRUE(bench.panel(std::string("{\"do\":\"") + way + "\"}", Role::watcher)) << way;
        EXPECT_NE(bench.word(), "sending") << way;
    }
}

TEST(Controls, ARefusalSaysWhatIsMissing) {
    SessionBench bench(SessionBench::practice());
    const auto refusal = [&](const char* control) {
        EXPECT_FALSE(bench.panel(std::string("{\"do\":\"") + control + "\"}")) << control;
        return bench.last_reply.value("text", "");
    };
    EXPECT_EQ(refusal("go"), "the self-check is running: wait for standby");
    ASSERT_TRUE(bench.wait_state("standby"));
    EXPECT_EQ(refusal("go"), "turn the key first");
    EXPECT_EQ(refusal("acknowledge"), "no trip is latched: nothing to acknowledge");
    ASSERT_TRUE(bench.act("key_arm"));
    EXPECT_EQ(refusal("key_arm"), "the key is turned already: go");
    ASSERT_TRUE(bench.act("go"));
    EXPECT_EQ(refusal("go"), "the warning runs already: it starts by itself");
    ASSERT_TRUE(bench.wait_state("sending"));
    EXPECT_EQ(refusal("go"), "it is sending already");
    ASSERT_TRUE(bench.act("emergency_stop"));
    EXPECT_EQ(refusal("go"), "a trip is latched: find the cause, then acknowledge");
}

std::filesystem::path temporary(const std::string& name) {
    return std::filesystem::temp_directory_path() / ("ampturn-" + std::to_string(::getpid()) + "-" + name);
}

/// A session with everything in it: clients, a job, faults, a trip, hands, remarks.
void eventful(SessionBench& bench) {
    bench.open(1);
    bench.wait_state("standby");
    bench.ask("*RST;LIST:FREQ 96,1536;CURR 2;DWEL 2.5;LOOP A,B;TAP 3,1;CAP 0");
    bench.ask("ARM;INIT");
    bench.wait_state("sending");
    bench.wait_s(1.37);
    bench.ask("MEAS:CURR?;VOLT?");
    bench.panel(R"({"fault":"open_loop_b","on":true})");
    bench.wait_state("tripped", 30);
    bench.act("disconnect_loop_b");
    bench.act("measure_loop_b");
    bench.act("replace_loop_b");
    bench.act("connect_loop_b");
    bench.act("acknowledge");
    bench.wait_state("standby", 30);
    bench.ask("\x01\xFFgarbage;*ESR?");
    bench.panel(R"({"remark":"well done"})");
    bench.ask("ARM;INIT;*OPC?");
    bench.wait_s(20);
}

void write_log(const std::filesystem::path& path, const std::vector<Record>& records) {
    std::ofstream file(path, std::ios::binary);
    RunningCheck check;
    for (const Record& record : records) file << line_of(record, check);
}

TEST(Session, TheSameInputsGiveTheSameRecords) {
    SessionBench first(SessionBench::practice()), second(SessionBench::practice());
    eventful(first);
    eventful(second);
    ASSERT_EQ(first.records.size(), second.records.size());
    EXPECT_GT(first.records.size(), 100U);
    for (std::size_t i = 0; i < first.records.size(); ++i)
        ASSERT_EQ(first.records[i], second.records[i]) << i;
}

TEST(Session, HowOftenTimeIsLookedAtDoesNotMatter) {
    SessionBench coarse(SessionBench::practice()), fine(SessionBench::practice());
    for (SessionBench* bench : {&coarse, &fine}) {
        bench->open(1);
        bench->ask("*OPC?");
    }
    coarse.wait_s(30);
    for (int i = 0; i < 3000; ++i) {
        fine.session().run_until(ampturn::core::Instant{static_cast<std::uint64_t>(i) * 240'000});
    }
    fine.wait_s(30);
    ASSERT_GE(fine.records.size(), coarse.records.size());
    for (std::size_t i = 0; i < coarse.records.size(); ++i)
        ASSERT_EQ(coarse.records[i], fine.records[i]) << i;
}

TEST(Session, ReplayReproducesEveryRecord) {
    SessionBench bench(SessionBench::practice());
    eventful(bench);
    bench.session().close("test over");
    const auto path = temporary("replay.jsonl");
    write_log(path, bench.records);
    const ReplayResult result = replay(path.string());
    EXPECT_TRUE(result.same) << result.line << "\n" << result.recorded << "\n" << result.replayed;
    EXPECT_EQ(result.records, bench.records.size());
    EXPECT_GT(result.inputs, 10U);
    std::filesystem::remove(path);
}

TEST(Session, ALogCutAfterAnyRecordReplays) {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    bench.ask(
        "MEAS:VOLT?");  // asked at the first tick of all: the unit is brought there before it is written down
    eventful(bench);
    const auto path = temporary("cut.jsonl");
    for (std::size_t kept = 1; kept <= bench.records.size(); kept += kept < 40 ? 1 : 11) {
        std::vector<Record> records = bench.records;
        records.resize(kept);
        write_log(path, records);
        const ReplayResult result = replay(path.string());
        EXPECT_TRUE(result.same) << "cut after " << kept << ": line " << result.line << " "
                                 << result.recorded;
        EXPECT_EQ(result.records, kept);
    }
    std::filesystem::remove(path);
}

// A moment ages away kept the replay busy for as long.
TEST(Session, AReplayEndsWhereALogNamesAMomentNoSessionCameTo) {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    bench.wait_s(1);
    Record far{{"n", bench.records.size() + 1},
               {"tick", std::uint64_t{1} << 52},
               {"utc", ""},
               {"what", "in"},
               {"who", "test#1"},
               {"client", 1},
               {"kind", "message"},
               {"role", "trainee"},
               {"text", "*IDN?"}};
    bench.records.push_back(far);
    std::string log;
    RunningCheck check;
    for (const Record& record : bench.records) log += line_of(record, check);
    const ReplayResult result = replay_log(session_log_of(log, "far.jsonl"), "far.jsonl");
    EXPECT_FALSE(result.same);
    EXPECT_EQ(result.line, bench.records.size());
}

TEST(Session, ReplaySaysWhereItFirstDiffers) {
    SessionBench bench(SessionBench::practice());
    eventful(bench);
    std::size_t changed = 0;
    for (std::size_t i = 0; i < bench.records.size() && changed == 0; ++i) {
        if (bench.records[i].value("what", "") == "measured" &&
            bench.records[i].value("state", "") == "sending") {
            bench.records[i]["battery_mv"] = bench.records[i]["battery_mv"].get<int>() + 1;
            changed = i + 1;
        }
    }
    ASSERT_GT(changed, 0U);
    const auto path = temporary("differs.jsonl");
    write_log(path, bench.records);
    const ReplayResult result = replay(path.string());
    EXPECT_FALSE(result.same);
    EXPECT_EQ(result.line, changed);
    EXPECT_NE(result.recorded, result.replayed);
    std::filesystem::remove(path);
}

TEST(Session, CloseRampsThePowerStageDown) {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    bench.wait_state("standby");
    bench.ask("ARM;INIT");
    ASSERT_TRUE(bench.wait_state("sending"));
    bench.wait_s(2);
    bench.session().close("SIGTERM");
    EXPECT_EQ(bench.records.back()["what"], "end");
    EXPECT_EQ(bench.records.back()["state"], "standby");
    bool stopping = false;
    for (const Record& record : bench.records) {
        stopping = stopping || (record.value("event", "") == "state" && record.value("to", "") == "stopping");
    }
    EXPECT_TRUE(stopping) << "category 1: the ramp comes before the end";
}

TEST(Session, AReversedBatteryTripsAndHandsMendIt) {
    SessionSetup setup = SessionBench::practice();
    setup.connected = false;
    SessionBench bench(setup);
    bench.panel(R"({"fault":"reversed_leads","on":true})");
    for (const char* action :
         {"connect_loop_a", "connect_loop_b", "connect_battery_positive", "connect_battery_negative"}) {
        EXPECT_TRUE(bench.act(action)) << action;
    }
    EXPECT_TRUE(bench.wait_state("tripped", 5)) << bench.word();
    EXPECT_FALSE(bench.act("swap_leads")) << "only with both leads off";
    bench.act("disconnect_battery_negative");
    bench.act("disconnect_battery_positive");
    EXPECT_TRUE(bench.act("swap_leads"));
    bench.act("connect_battery_positive");
    bench.act("connect_battery_negative");
    bench.act("acknowledge");
    EXPECT_TRUE(bench.wait_state("standby", 15)) << bench.word();
}

/// What a child process has told its parent: how many records append() has returned for.
struct Shared {
    std::atomic<std::uint64_t> written;
};

TEST(Session, AKillAtAnyMomentLosesAtMostTheRecordBeingWritten) {
    void* memory = ::mmap(nullptr, sizeof(Shared), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    ASSERT_NE(memory, MAP_FAILED);
    auto* shared = new (memory) Shared{};
    const unsigned seed = 488;
    SCOPED_TRACE(seed);
    std::mt19937 random(seed);
    const SessionSetup setup = SessionBench::practice();
    int cut_lines = 0;
    for (int round = 0; round < 200; ++round) {
        const auto path = temporary("kill.jsonl");
        std::filesystem::remove(path);
        shared->written = 0;
        const pid_t child = ::fork();
        ASSERT_GE(child, 0);
        if (child == 0) {
            SessionLog log(path);
            Session session(setup, "",
                            {.record =
                                 [&](const Record& record) {
                                     log.append(record);
                                     ++shared->written;
                                 },
                             .answer = [](std::uint32_t, const std::string&, bool) {},
                             .send_to_panel = {},
                             .broadcast = {},
                             .pace = {}});
            session.take(session.now(), {SessionInput::Kind::open, 1, "test#1", Role::trainer, ""});
            for (int i = 0;; ++i) {
                session.take(session.now(), {SessionInput::Kind::message, 1, "test#1", Role::trainer,
                                             i % 50 == 3 ? "ARM;INIT" : "MEAS:VOLT?"});
                session.run_until(session.next_due());
            }
        }
        // Wait for the first record, then a random while.
        while (shared->written == 0) ::usleep(100);
        ::usleep(static_cast<useconds_t>(random() % 4000));
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);
        const std::uint64_t written = shared->written;
        const LogRead read = read_log(path);
        ASSERT_GE(read.records.size(), written) << "round " << round << " " << read.damage;
        ASSERT_LE(read.records.size(), written + 1) << "round " << round;
        if (!read.damage.empty()) ++cut_lines;
        if (round % 8 == 0) {
            const ReplayResult replayed = replay(path.string());
            ASSERT_TRUE(replayed.same) << replayed.line << "\n"
                                       << replayed.recorded << "\n"
                                       << replayed.replayed;
        }
        std::filesystem::remove(path);
    }
    ::munmap(memory, sizeof(Shared));
    RecordProperty("cut_lines", cut_lines);
}

}  // namespace session_test
