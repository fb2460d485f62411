#include <gtest/gtest.h>

#include <filesystem>

#include "firmware-sim/drill/drill.hpp"
#include "scheduler/base/input_error.hpp"
#include "tests/paths.hpp"

namespace drill_file_test {

using namespace ampturn::sim::drill;
using namespace ampturn::sim::site;

const std::string good = R"(title = "First start"
level = 1
invented = true
story = ["A cold morning."]
[start]
air_c = 5
faults = ["wet_connector_a"]
[[event]]
on = "state:sending"
after_s = 5
fault = "person_in_ring"
for_s = 30
[[good]]
text = "Stop"
why = "people first"
[[rule]]
id = "stop"
points = 10
kind = "within"
after = "fault:person_in_ring"
expect = "did:stop"
seconds = 5
reason = "people first"
)";

std::string replaced(std::string text, const std::string& what, const std::string& with) {
    const std::size_t at = text.find(what);
    EXPECT_NE(at, std::string::npos) << what;
    return text.replace(at, what.size(), with);
}

TEST(DrillFile, ReadsAWholeDrill) {
    const Drill drill = parse_drill(good, "drills/first.toml");
    EXPECT_EQ(drill.id, "first");
    EXPECT_EQ(drill.start.air_c, 5);
    ASSERT_EQ(drill.events.size(), 1U);
    EXPECT_EQ(drill.events[0].on, EventType::state_entered(ampturn::core::State::sending));
    EXPECT_EQ(drill.events[0].fault, Fault::person_in_ring);
    EXPECT_EQ(drill.start.faults, std::vector{Fault::wet_connector_a});
    const auto& rule = std::get<ScoreRule::Within>(drill.rules.at(0).test);
    EXPECT_EQ(rule.after, EventType::fault_set(Fault::person_in_ring));
    EXPECT_EQ(rule.expect.types, std::vector{EventType::did(Action::stop)});
    EXPECT_EQ(rule.seconds, 5);
}

struct Row {
    const char* what;
    const char* with;
    const char* message;  // begins with
};

TEST(DrillFile, PointsAtWhatIsWrong) {
    const Row rows[] = {
        {"level = 1", "level = 9", "d.toml:2:9: level: found 9, allowed a number from 1 to 5"},
        {"level = 1", "levle = 1", "d.toml:1:1: level: found nothing, allowed a number from 1 to 5"},
        {"invented = true", "invented = false", "d.toml:3:12: invented: found no invented = true"},
        {"\"person_in_ring\"", "\"person_on_ring\"",
         "d.toml:11:9: event[1].fault: found person_on_ring, allowed one of"},
        {"\"did:stop\"", "\"did:stopp\"",
         "d.toml:21:10: rule[1].expect: found did:stopp, allowed a happening"},
        {"\"did:stop\"", "\"did:stop or did:nothing\"",
         "d.toml:21:10: rule[1].expect: found did:nothing, allowed a happening"},
        {"\"did:stop\"", "\"remark:\"", "d.toml:21:10: rule[1].expect: found remark:, allowed a happening"},
        {"\"within\"", "\"inside\"", "d.toml:19:8: rule[1].kind: found inside, allowed order, before"},
        {"air_c = 5", "air_f = 5", "d.toml:6:1: start.air_f: found an unknown key, allowed one of"},
        {"points = 10", "points = \"ten\"", "d.toml:18:10: rule[1].points: found a text, allowed a number"},
        {"for_s = 30", "for_s = 30\nat_s = 3", "d.toml:13:8: event[1].at_s: found both or neither"},
        {"title = ", "title == ", "d.toml:1:8: "},
    };
    for (const Row& row : rows) {
        try {
            parse_drill(replaced(good, row.what, row.with), "d.toml");
            ADD_FAILURE() << "accepted " << row.with;
        } catch (const ampturn::base::InputError& error) {
            EXPECT_EQ(std::string(error.what()).rfind(row.message, 0), 0U) << error.what();
        }
    }
}

TEST(DrillFile, TheDrillsOfTheDemoAreGood) {
    int count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(ampturn::test::source_path("demo/drills"))) {
        if (entry.path().extension() != ".toml") continue;
        const Drill drill = read_drill(entry.path().string());
        EXPECT_FALSE(drill.cautions.empty()) << drill.id;
        double points = 0;
        for (const ScoreRule& rule : drill.rules) points += rule.points;
        EXPECT_EQ(points, 100) << drill.id;
        ++count;
    }
    EXPECT_EQ(count, 20);
}

}  // namespace drill_file_test
