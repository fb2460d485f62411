#include "scheduler/setup/refused_value.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/earth_of_plan.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// A value that the schema takes and the model does not: the error stands at the plan's key, in its own unit.

namespace ampturn::setup {
namespace refused_value_test {

using testing::HasSubstr;

struct Edit {
    const char *from, *to;  // in demo/quick.toml
};

struct Row {
    std::vector<Edit> edits;
    const char* line;  // the text of the refused value's line
    const char* at;    // the value, or what stands at the key's place, in that line
    const char* key;
    const char* found;
    const char* allowed;
};

std::string edited(const std::vector<Edit>& edits) {
    std::string text = test::read_whole_file(test::source_path("demo/quick.toml"));
    for (const Edit& edit : edits) {
        const auto at = text.find(edit.from);
        EXPECT_NE(at, std::string::npos) << edit.from;
        if (at != std::string::npos) text.replace(at, std::string(edit.from).size(), edit.to);
    }
    return text;
}

void set_up(const plan::Plan& plan) {
    (void)earth_of(plan);
    if (plan.question) (void)earth_of(plan, plan.question->with_target, "question.with_target");
    (void)survey_setup_of(plan);
}

TEST(RefusedValue, PointsAtTheKeyItsLineAndItsColumn) {
    const Row rows[] = {
        {{{"thickness_m = [30]", "thickness_m = [30]\nrelative_permeability = [1, 0.7]"}},
         "relative_permeability = [1, 0.7]",
         "0.7",
         "earth.relative_permeability[2]",
         "0.7",
         "0.9 to 100"},
        {{{"thickness_m = [30]", "thickness_m = [0.0001]"}},
         "thickness_m = [0.0001]",
         "0.0001",
         "earth.thickness_m[1]",
         "0.0001",
         "0.001 to 100000"},
        {{{"thickness_m = [30]",
           "thickness_m = [30]\n[[earth.polarisable]]\nlayer = 2\nchargeability = 0.1\n"
           "time_constant_s = 1e-12\nexponent = 0.5"}},
         "time_constant_s = 1e-12",
         "1e-12",
         "earth.polarisable[1].time_constant_s",
         "1e-12",
         "1e-09 to 1000000"},
        {{{"turn_pitch_m = 0.006\ncentre_height_m = 3.5\nazimuth_deg = 90",
           "turn_pitch_m = 0.9\ncentre_height_m = 3.5\nazimuth_deg = 90"}},
         "turn_pitch_m = 0.9",
         "0.9",
         "loop.b.turn_pitch_m",
         "loop_b.bundle_radius_m ",
         "less than 0.6: a fortieth of the loop's perimeter"},
        {{{"turn_pitch_m = 0.006\ncentre_height_m = 3.5\nazimuth_deg = 0",
           "turn_pitch_m = 1\ncentre_height_m = 3.5\nazimuth_deg = 0"}},
         "turn_pitch_m = 1",
         "1",
         "loop.a.turn_pitch_m",
         "loop_a.bundle_radius_m ",
         "less than 0.6: a fortieth of the loop's perimeter"},
        {{{"current_limit_a = 12",
           "current_limit_a = 12\ncurrent_limit_quantity = \"peak\"\ncurrent_limit = \"clamp\"\nduty = 0.5"}},
         "duty = 0.5",
         "0.5",
         "driver.duty",
         "0.5",
         "at least 1: a clamped current needs the whole half period"},
        {{{"[[site]]",
           "[question]\ntext = \"Which?\"\nkind = \"two_grounds\"\n[question.with_target]\n"
           "resistivity_ohm_m = [100, 40]\nthickness_m = [30]\nrelative_permeability = [0.6, 1]\n\n"
           "[[site]]"}},
         "relative_permeability = [0.6, 1]",
         "0.6",
         "question.with_target.relative_permeability[1]",
         "0.6",
         "0.9 to 100"},
    };
    for (const Row& row : rows) {
        const std::string text = edited(row.edits);
        const plan::Plan plan = plan::file::parse_plan(text, "plan.toml");
        const auto line_start = text.find(row.line);
        ASSERT_NE(line_start, std::string::npos) << row.line;
        const base::Position expected{
            .line = 1 + static_cast<int>(std::count(
                            text.begin(), text.begin() + static_cast<std::ptrdiff_t>(line_start), '\n')),
            .column = 1 + static_cast<int>(std::string(row.line).find(row.at))};
        try {
            set_up(plan);
            FAIL() << row.key << ": not refused";
        } catch (const base::InputError& error) {
            ASSERT_EQ(error.problems().size(), 1u);
            const base::InputProblem& problem = error.problems().front();
            EXPECT_EQ(problem.file, "plan.toml");
            EXPECT_EQ(problem.key, row.key);
            EXPECT_EQ(problem.position.line, expected.line) << row.key;
            EXPECT_EQ(problem.position.column, expected.column) << row.key;
            EXPECT_THAT(problem.found, testing::StartsWith(row.found)) << row.key;
            EXPECT_THAT(problem.allowed, HasSubstr(row.allowed)) << row.key;
        }
    }
}

TEST(RefusedValue, ConvertsToTheUnitOfTheKey) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"));
    const base::InputError error =
        refused_value(plan, {"layer.vertical_resistivity_ratio", 144, {.lowest = 0.01, .highest = 100}, 0});
    const base::InputProblem& problem = error.problems().front();
    EXPECT_EQ(problem.key, "earth.anisotropy[1]");
    EXPECT_EQ(problem.found, "12");
    EXPECT_EQ(problem.allowed, "0.1 to 10");
}

TEST(RefusedValue, StationsAndStepsAreNamedByTheirKeys) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"));
    const base::InputError far =
        refused_value(plan, {"receiver.offset_m", 30000, {.lowest = 1, .highest = 20000}, 1});
    EXPECT_EQ(far.problems().front().key, "station[2]");
    EXPECT_EQ(far.problems().front().position.line, plan.positions.of("station[2]").line);
    EXPECT_EQ(far.problems().front().found, "receiver.offset_m 30000");
    EXPECT_EQ(far.problems().front().allowed, "1 to 20000");
    const base::InputError step = refused_value(plan, {"frequency_hz", 2825, model::at_most(2000)});
    EXPECT_EQ(step.problems().front().key, "sweep.frequencies_hz[2]");
    const base::InputError dwell =
        refused_step(plan, plan.sweep.steps.front(), {"dwell_s", 10, model::at_most(5)});
    EXPECT_EQ(dwell.problems().front().key, "sweep.dwell_s");
    EXPECT_EQ(dwell.problems().front().position.line, plan.positions.of("sweep.dwell_s").line);
}

TEST(RefusedValue, WhatNoKeyIsKnownForKeepsTheModelsName) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"));
    const base::InputError error = refused_value(plan, {"self_check_a", -1, model::more_than(0)});
    EXPECT_EQ(error.problems().front().key, "");
    EXPECT_EQ(error.problems().front().found, "self_check_a -1");
    EXPECT_EQ(error.problems().front().allowed, "more than 0");
}

}  // namespace refused_value_test
}  // namespace ampturn::setup
