#include "scheduler/setup/survey_setup.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/sweep/table_files.hpp"
#include "tests/paths.hpp"

namespace survey_setup_test {

using namespace ampturn;
using setup::SurveySetup;

plan::Plan demo(const std::vector<plan::file::Setting>& settings = {}) {
    return plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"), settings);
}

TEST(SurveySetup, SaysWhatItsTableWasMadeFor) {
    const plan::Plan plan = demo();
    const SurveySetup setup = setup::survey_setup_of(plan);
    EXPECT_EQ(setup.table.made_for.temperature_c, plan.day.air_temperature_c(plan.day.start_s));
    EXPECT_EQ(setup.table.made_for.state_of_charge_fraction, 0.5);
    EXPECT_EQ(setup::made_for_text({-16, 0.5}), "made for -16 C and a battery at 50 % of its charge");
}

// The choice of a capacitor hangs on the condition: made for a laboratory's 20 C, step 8 of this winter
// survey gets capacitor 1, made for its own morning none. Sheets and unit once had a table each.
TEST(SurveySetup, MakesAnotherTableOnlyForAnotherCondition) {
    const plan::Plan plan = demo();
    const SurveySetup setup = setup::survey_setup_of(plan);
    EXPECT_EQ(setup.table.table.steps[7].capacitor, 0) << "regression";
    const setup::PlannedTable warm = setup::table_of(plan, setup.transmitter, setup.unit, {20, 0.5});
    EXPECT_EQ(warm.table.steps[7].capacitor, 1) << "regression";
    EXPECT_NE(warm.crc32, setup.table.crc32);
    EXPECT_EQ(setup::survey_setup_of(plan).table.image, setup.table.image);
    // What the battery holds in the morning is the day's business, not the table's.
    EXPECT_EQ(setup::survey_setup_of(demo({{"battery.state_of_charge", "[0.7]"}})).table.image,
              setup.table.image);
}

TEST(SurveySetup, NamesTheTableByTheChecksumThatClosesItsImage) {
    const SurveySetup setup = setup::survey_setup_of(demo());
    const std::vector<std::uint8_t>& image = setup.table.image;
    std::uint32_t closing = 0;
    for (std::size_t i = 4; i > 0; --i) closing = closing << 8 | image[image.size() - 5 + i];
    EXPECT_EQ(setup.table.crc32, fmt::format("{:08X}", closing));
    EXPECT_EQ(setup.table.crc32, sweep::image_crc32(setup.table.table, setup.unit.clock_hz));
}

TEST(SurveySetup, HasOneRowAndOneOutputAStepAndEachFrequencyOnce) {
    const SurveySetup setup = setup::survey_setup_of(demo());
    ASSERT_EQ(setup.table.table.step_count, 36u);
    ASSERT_EQ(setup.table.rows.size(), 36u);
    ASSERT_EQ(setup.outputs.size(), 36u);
    ASSERT_EQ(setup.frequencies_hz.size(), 18u);
    for (std::size_t i = 0; i < 36; ++i) {
        EXPECT_EQ(setup.outputs[i].frequency_hz, setup.table.rows[i].frequency_hz);
        EXPECT_EQ(setup.frequencies_hz[i / 2], setup.table.rows[i].frequency_hz);
    }
}

// A table is uploaded once: a run's cold snap and worn battery do not choose its capacitors anew.
TEST(SurveySetup, OfAChangedPlanSendsTheTableThatWasPlanned) {
    const SurveySetup planned = setup::survey_setup_of(demo());
    plan::Plan changed = demo();
    for (double& c : changed.day.temperature_c) c += 30;
    changed.battery.capacity_ah /= 2;
    changed.earth.resistivity_ohm_m[0] *= 3;
    ASSERT_NE(setup::survey_setup_of(changed).table.crc32, planned.table.crc32);
    const SurveySetup drawn = setup::survey_setup_of(changed, planned);
    EXPECT_EQ(drawn.table.image, planned.table.image);
    EXPECT_EQ(drawn.table.made_for.temperature_c, planned.table.made_for.temperature_c);
    EXPECT_EQ(drawn.earth[0].resistivity_ohm_m, changed.earth.resistivity_ohm_m[0]);
    EXPECT_EQ(drawn.transmitter.design.battery.block.capacity_25c_ah,
              planned.transmitter.design.battery.block.capacity_25c_ah / 2);
}

}  // namespace survey_setup_test
