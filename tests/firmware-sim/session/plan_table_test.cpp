#include <gtest/gtest.h>

#include "scheduler/base/input_file.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/sweep/table_files.hpp"
#include "tests/firmware-sim/session/session_bench.hpp"
#include "tests/paths.hpp"

namespace plan_table_test {

using namespace ampturn::sim::session;
using namespace ampturn::sim::site;

// The panel, the unit behind it and every sheet of the planner speak of one table.
TEST(PlanTable, OfThePanelIsThePlanners) {
    for (const char* name : {"demo/quick.toml", "demo/vesslarook.toml"}) {
        const std::string path = ampturn::test::source_path(name);
        const std::string text = ampturn::base::read_input_file(path);
        const ampturn::setup::SurveySetup planned =
            ampturn::setup::survey_setup_of(ampturn::plan::file::parse_plan(text, path));
        const TransmitterSetup transmitter = transmitter_setup_of(text, path, 1);
        EXPECT_EQ(transmitter.table, planned.table.table) << name;
        EXPECT_EQ(transmitter.table_crc32, planned.table.crc32) << name;

        SessionSetup setup = SessionBench::practice();
        setup.plan_path = path;
        setup.plan_text = text;
        SessionBench bench(setup);
        EXPECT_EQ(
            bench.session().hello_json(ampturn::sim::record::Role::trainer)["transmitter"]["table_crc32"],
            planned.table.crc32)
            << name;
        ASSERT_TRUE(bench.wait_state("standby")) << name;
        const ampturn::core::Table& running = bench.session().site().unit().core().table();
        EXPECT_EQ(ampturn::sweep::image_crc32(running, planned.unit.clock_hz), planned.table.crc32) << name;
    }
}

}  // namespace plan_table_test
