#include "scheduler/tune/new_plan_text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace new_plan_text_test {

using ampturn::plan::Plan;
using ampturn::plan::file::parse_plan;
using ampturn::tune::new_plan_text;
using ampturn::tune::NewPlanText;
using testing::HasSubstr;

struct Source {
    std::string text;
    Plan plan;
};
Source source_of(const char* demo) {
    const std::string path = ampturn::test::source_path(demo);
    const std::string text = ampturn::test::read_whole_file(path);
    return {text, parse_plan(text, path)};
}

TEST(NewPlanText, KeepsCommentsAndEveryOtherTable) {
    for (const char* demo : {"demo/quick.toml", "demo/vesslarook.toml"}) {
        Source source = source_of(demo);
        for (ampturn::plan::Step& step : source.plan.sweep.steps) step.dwell_s = 7;
        const NewPlanText out = new_plan_text(source.plan, source.text, {"sweep"});
        EXPECT_TRUE(out.comments_kept) << demo;
        EXPECT_THAT(out.text, testing::StartsWith(source.text.substr(0, source.text.find('\n')))) << demo;
        for (std::size_t at = 0; (at = source.text.find('#', at)) != std::string::npos; ++at) {
            const std::string comment = source.text.substr(at, source.text.find('\n', at) - at);
            EXPECT_THAT(out.text, HasSubstr(comment)) << demo;
        }
        const Plan back = parse_plan(out.text, source.plan.source.path);
        ASSERT_EQ(back.sweep.steps.size(), source.plan.sweep.steps.size());
        for (const ampturn::plan::Step& step : back.sweep.steps)
            EXPECT_EQ(step.dwell_s, 7) << "definition: set above";
    }
}

TEST(NewPlanText, WhatCannotBeTakenApartIsWrittenWhole) {
    Source source = source_of("demo/quick.toml");
    const std::size_t at = source.text.find("[sweep]");
    // An inline table has no header of its own.
    const std::string text =
        "sweep = {name = \"Q4\", frequencies_hz = [975, 2825, 8525, 25475], "
        "current_a_peak = 10, dwell_s = 10}\n" +
        source.text.substr(0, at) + source.text.substr(source.text.find("[receiver]"));
    Plan plan = parse_plan(text, "plan.toml");
    for (ampturn::plan::Step& step : plan.sweep.steps) step.dwell_s = 7;
    const NewPlanText out = new_plan_text(plan, text, {"sweep"});
    EXPECT_FALSE(out.comments_kept);
    EXPECT_EQ(parse_plan(out.text, "plan.toml").sweep.steps.front().dwell_s, 7) << "definition: set above";
}

}  // namespace new_plan_text_test
