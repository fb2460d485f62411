// What a day costs: the run on the sequencer alone, the fields at the stations alone, and all of it. The demo
// survey: 12 stations, 14 sweeps of 36 steps, 18 frequencies.
#include <benchmark/benchmark.h>

#include "scheduler/day/day.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn;

const plan::Plan& demo() {
    static const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    return plan;
}

void day_on_the_sequencer(benchmark::State& state) {
    const setup::SurveySetup setup = setup::survey_setup_of(demo());
    double checksum = 0;
    for (auto _ : state) {
        const day::DayRun run = day::run_day(demo(), setup, {.sets_available = 2, .trace = false});
        checksum = run.batteries.front().delivered_wh;
    }
    state.counters["Wh"] = checksum;
}
BENCHMARK(day_on_the_sequencer)->Unit(benchmark::kMillisecond);

void fields_at_the_stations(benchmark::State& state) {
    const setup::SurveySetup setup = setup::survey_setup_of(demo());
    double checksum = 0;
    for (auto _ : state) {
        const auto responses = reading::station_responses(demo(), setup);
        checksum = std::abs(responses.back().loop_a.back().horizontal.hx_a_per_m);
    }
    state.counters["H"] = checksum;
}
BENCHMARK(fields_at_the_stations)->Unit(benchmark::kMillisecond);

void whole_day(benchmark::State& state) {
    int passed = 0;
    for (auto _ : state) passed = day::simulate_day(demo()).passed_count;
    state.counters["passed"] = passed;
}
BENCHMARK(whole_day)->Unit(benchmark::kMillisecond);

/// MonteCarlo a second on two threads; the aim is 1000 in 10 s.
void runs(benchmark::State& state) {
    double checksum = 0;
    for (auto _ : state)
        checksum = day::run_monte_carlo(demo(), {.runs = static_cast<int>(state.range(0)), .threads = 2})
                       .energy_wh.p50;
    state.counters["Wh"] = checksum;
    state.SetItemsProcessed(state.iterations() * state.range(0));
}
BENCHMARK(runs)->Arg(64)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
