#include "scheduler/run/sweep_replay.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "scheduler/day/day_run.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn;
using namespace ampturn::day;

TEST(SweepReplay, Dbg) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/vesslarook.toml"), {});
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    run::SweepPattern pattern;
    const DayRun sent =
        run_day(plan, setup, {.seed = 1, .sets_available = 2, .trace = false, .keep_pattern = &pattern});
    const DayRun replayed =
        run_day(plan, setup, {.seed = 1, .sets_available = 2, .trace = false, .pattern = &pattern});
    printf("%zu %zu pieces %zu\n", sent.sweeps.size(), replayed.sweeps.size(), pattern.pieces().size());
    for (std::size_t i = 0; i < sent.sweeps.size(); i += 2) {
        const auto &a = sent.sweeps[i], &b = replayed.sweeps[i];
        printf("sweep %zu start %.3f %+.4f end %+.4f E %.5f %+.6f steps %zu %zu\n", i, a.start_s,
               b.start_s - a.start_s, b.end_s - a.end_s, a.energy_wh, b.energy_wh - a.energy_wh,
               a.steps.size(), b.steps.size());
        for (std::size_t k = 0; k < a.steps.size() && k < b.steps.size(); k += 6) {
            const auto &s = a.steps[k], &t = b.steps[k];
            printf(
                "   step %d start %+.4f dwell %.3f %+.5f E %.5f %+.2e wind %.3f %+.4f el %.3f %+.4f V %.4f %+.5f I %+.2e rms %+.2e bus %.3f %+.5f M %.5g %+.2e complete %d %d\n",
                s.step_number, t.start_s - s.start_s, s.dwell_s, t.dwell_s - s.dwell_s, s.energy_wh,
                t.energy_wh - s.energy_wh, s.winding_c, t.winding_c - s.winding_c, s.electronics_c,
                t.electronics_c - s.electronics_c, s.battery_lowest_v,
                t.battery_lowest_v - s.battery_lowest_v, t.current_a_peak / s.current_a_peak - 1,
                t.current_a_rms / s.current_a_rms - 1, s.bus_v, t.bus_v - s.bus_v, s.moment_a_m2_peak,
                t.moment_a_m2_peak / s.moment_a_m2_peak - 1, s.complete, t.complete);
        }
    }
}

}  // namespace
