#include "firmware-sim/course/course.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <functional>

#include "firmware-sim/course/class_sheet.hpp"
#include "firmware-sim/course/drill_parts.hpp"
#include "firmware-sim/site/action.hpp"
#include "scheduler/base/input_error.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace course_test {

using namespace ampturn::sim::course;
using ampturn::base::InputError;
using ampturn::sim::site::Fault;

class Files : public ::testing::Test {
  protected:
    std::string path(const std::string& name) const { return folder_.file(name); }
    std::string write(const std::string& name, const std::string& text) const {
        return folder_.write(name, text);
    }
    static std::string refusal(const std::function<void()>& act) {
        try {
            act();
        } catch (const InputError& error) {
            return text_of(error.problems().front());
        }
        return {};
    }
    ampturn::test::ScratchDirectory folder_;
};

using Courses = Files;
using ClassSheets = Files;

TEST_F(Courses, AreTakenByLevelThenTitle) {
    const Course course = Course::of_folder(ampturn::test::source_path("demo/drills"));
    ASSERT_GE(course.drills().size(), 18u);
    for (std::size_t i = 1; i < course.drills().size(); ++i) {
        const auto &before = course.drills()[i - 1].drill, &drill = course.drills()[i].drill;
        EXPECT_LE(std::pair(before.level, before.title), std::pair(drill.level, drill.title));
        EXPECT_EQ(course.after(before.id), &course.drills()[i]);
    }
    EXPECT_EQ(course.drills().front().drill.level, 1);
    EXPECT_EQ(course.drills().back().drill.level, 5);
    EXPECT_EQ(course.after(course.drills().back().drill.id), nullptr);
    EXPECT_EQ(course.find("no_such"), nullptr);
}

TEST_F(Courses, SayWhatIsWrong) {
    EXPECT_NE(refusal([&] { (void)Course::of_folder(folder_.path().string()); }).find("no drill"),
              std::string::npos);
    EXPECT_NE(refusal([&] { (void)Course::of_folder(path("nowhere")); }).find("nowhere"), std::string::npos);
    write("bad.toml", "title = \"x\"\nlevel = 9\n");
    EXPECT_NE(refusal([&] { (void)Course::of_folder(folder_.path().string()); }).find("bad.toml:2"),
              std::string::npos);
}

Attempt attempt(const std::string& trainee, const std::string& drill, double percent, bool passed) {
    return {.utc = "2026-06-01T08:00:00Z",
            .trainee = trainee,
            .drill = drill,
            .title = "Say \"stop\", twice",
            .level = 2,
            .time_s = 312.4,
            .points = percent,
            .points_max = 100,
            .percent = percent,
            .pass_percent = 70,
            .passed = passed,
            .ended_by = "the whole table sent",
            .log = "a,b\n.jsonl"};
}

TEST_F(ClassSheets, KeepWhatWasDoneFromOneClassToTheNext) {
    // Identity: what is written is what is read, commas, quotes and line breaks included; attempts are numbered by trainee
    // and drill.
    const std::string file = path("class.csv");
    {
        ClassSheet sheet(file);
        EXPECT_FALSE(std::filesystem::exists(file)) << "nothing done, nothing written";
        sheet.add(attempt("Ada", "gust", 60, false));
        sheet.add(attempt("Ben O'Hara", "gust", 90, true));
        sheet.add(attempt("Ada", "gust", 85.5, true));
    }
    ClassSheet again(file);
    ASSERT_EQ(again.attempts().size(), 3u);
    EXPECT_EQ(again.attempts()[2].number, 2);
    EXPECT_EQ(again.attempts()[1].number, 1);
    EXPECT_EQ(again.best("Ada", "gust")->percent, 85.5);
    EXPECT_EQ(again.best("Ada", "thunder"), nullptr);
    again.add(attempt("Ada", "gust", 99, false));
    EXPECT_EQ(again.best("Ada", "gust")->percent, 85.5) << "passed comes before points";
    EXPECT_EQ(ClassSheet(file).attempts(), again.attempts());
    EXPECT_EQ(ClassSheet(file).attempts()[0].log, "a,b\n.jsonl");
    EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder_.path()), {}), 1)
        << "no temporary file stays";
}

TEST_F(ClassSheets, RefuseFilesThatAreNone) {
    const auto of = [&](const std::string& text) {
        const std::string file = write("sheet.csv", text);
        return refusal([&] { ClassSheet sheet(file); });
    };
    ClassSheet sheet("");
    sheet.add(attempt("Ada", "gust", 60, false));
    const std::string good = sheet.csv();
    EXPECT_EQ(of(good), "");
    EXPECT_NE(of("a,b\n1,2\n").find("sheet.csv:1:1: found a"), std::string::npos) << of("a,b\n1,2\n");
    std::string torn = good, points = good, quote = good;
    torn.resize(torn.size() - 30);
    EXPECT_NE(of(torn), "");
    points.replace(points.find(",60,"), 4, ",-6,");
    EXPECT_NE(of(points).find("sheet.csv:2:"), std::string::npos) << of(points);
    quote.insert(quote.find("twice\"") + 6, "x");
    EXPECT_NE(of(quote).find("closing quote"), std::string::npos) << of(quote);
}

TEST(OperatingGuide, KnowsEveryActionFaultAndDrill) {
    const std::string guide = ampturn::test::read_whole_file(ampturn::test::source_path("docs/operating.md"));
    const std::size_t actions = guide.find("Actions: "), faults = guide.find("Faults: ");
    const auto listed = [&](std::size_t from) {
        std::string list = guide.substr(from, guide.find("\n\n", from) - from);
        std::replace(list.begin(), list.end(), '\n', ' ');
        return list.substr(list.find(": ") + 2);
    };
    EXPECT_EQ(listed(actions), ampturn::sim::site::all_action_names() + ".");
    EXPECT_EQ(listed(faults), ampturn::sim::site::all_fault_names() + ".");
    const Course course = Course::of_folder(ampturn::test::source_path("demo/drills"));
    for (const CourseDrill& one : course.drills())
        EXPECT_NE(guide.find("| " + one.drill.id + " | " + std::to_string(one.drill.level) + " |"),
                  std::string::npos)
            << one.drill.id;
}

TEST(Names, AreOnlyNames) {
    for (const char* good : {"Ada", "Ben O'Hara", "J. Mueller-Lopez", "Åsa", "B2"})
        EXPECT_TRUE(good_name(good)) << good;
    for (const char* bad : {"", "=1+1", "-x", "@x", "+x", "a,b", "a\"b", "a\nb", " a", "\xff\xfe"})
        EXPECT_FALSE(good_name(bad)) << bad;
    EXPECT_FALSE(good_name(std::string(61, 'a')));
}

TEST(DrillsFromParts, AreGoodForEveryFault) {
    // Law: every trouble, from the beginning or while it sends, makes a drill that reads, in which the trouble occurs and a rule
    // speaks of mending it.
    for (int i = 0; i < ampturn::sim::site::fault_count; ++i)
        for (const bool later : {false, true}) {
            const auto fault = static_cast<Fault>(i);
            const std::string name = ampturn::sim::site::info(fault).name;
            DrillParts parts;
            parts.id = "made";
            parts.title = "Made \"here\"";
            parts.story = "Line one.\nLine two \\ end.";
            parts.troubles = {{fault, later ? std::optional(12.0) : std::nullopt}};
            const std::string toml = drill_toml(parts);
            const auto drill = ampturn::sim::drill::parse_drill(toml, "made.toml");
            EXPECT_EQ(drill.title, parts.title);
            EXPECT_EQ(drill.story.front(), parts.story);
            const bool passes = fault == Fault::receiver_not_ready;
            EXPECT_EQ(drill.start.faults.size(), !later && !passes ? 1u : 0u) << name;
            EXPECT_EQ(drill.events.size(), later ? 1u : 0u) << name;
            EXPECT_EQ(drill.start.receiver_ready_after_s > 0, !later && passes) << name;
            EXPECT_NE(toml.find(name + "_mended"), std::string::npos) << name;
            EXPECT_EQ(drill.ends_on->kind == ampturn::sim::site::EventType::Kind::table_done,
                      fault != Fault::thunder_near);
        }
}

TEST(DrillsFromParts, SayWhichPartIsWrong) {
    const auto refusal = [](const std::string& json) -> std::string {
        try {
            (void)parts_of_json(json);
        } catch (const InputError& error) {
            return text_of(error.problems().front());
        }
        return {};
    };
    const std::string start = R"({"id":"x1","title":"X")";
    EXPECT_EQ(refusal(start + "}"), "");
    EXPECT_EQ(refusal(start + R"(,"troubles":[{"fault":"mast_down","after_sending_s":5}]})"), "");
    for (const auto& [json, key] : std::vector<std::pair<std::string, std::string>>{
             {"[]", "an object"},
             {R"({"title":"X"})", "id"},
             {R"({"id":"../x","title":"X"})", "id"},
             {R"({"id":"x"})", "title"},
             {start + R"(,"level":7})", "level"},
             {start + R"(,"level":"2"})", "level"},
             {start + R"(,"connected":1})", "connected"},
             {start + R"(,"colour":1})", "colour"},
             {start + R"(,"time_limit_s":1e9})", "time_limit_s"},
             {start + R"(,"troubles":[{"fault":"gremlins"}]})", "troubles[1].fault"},
             {start + R"(,"troubles":[{"fault":"mast_down"},{"fault":"mast_down"}]})", "mast_down twice"},
             {start + R"(,"troubles":[{"fault":"mast_down","after_sending_s":-1}]})", "after_sending_s"}})
        EXPECT_NE(refusal(json).find(key), std::string::npos) << json << ": " << refusal(json);
}

}  // namespace course_test
