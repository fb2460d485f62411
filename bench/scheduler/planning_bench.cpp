// What planning costs besides the day: reach, the search for a site, the keep-out, tune, and the order of stations. The
// demo survey: 12 stations, 18 frequencies; one thread, so that the figures are work and not cores.
#include <benchmark/benchmark.h>

#include <cmath>
#include <string>

#include "scheduler/day/station_order.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/reach.hpp"
#include "scheduler/reach/site_search.hpp"
#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/tune/tune.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn;

const plan::Plan& demo() {
    static const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    return plan;
}

/// All intervals of 18 frequencies, six sectors (13 bearings), offsets 2 % apart up to 10 km.
void reach(benchmark::State& state) {
    double checksum = 0;
    for (auto _ : state) {
        const reach::Reach found = reach::reach_of(demo(), {});
        checksum = 0;
        for (const reach::ReachFrequency& f : found.frequencies)
            checksum += reach::sufficient_snr_to_m(f.all_directions).value_or(0);
    }
    state.counters["m"] = checksum;
}
BENCHMARK(reach)->Unit(benchmark::kMillisecond);

/// Candidates on a grid times 216 readings.
void site_search(benchmark::State& state) {
    const auto candidates = reach::grid_candidates(demo(), static_cast<double>(state.range(0)), 1000);
    double checksum = 0;
    for (auto _ : state)
        checksum = reach::search_site(demo(), candidates, {}).candidates.front().usable_count;
    state.counters["usable"] = checksum;
    state.counters["candidates"] = static_cast<double>(candidates.size());
}
BENCHMARK(site_search)->Arg(200)->Arg(50)->Unit(benchmark::kMillisecond);

/// The search for how far people keep off.
void keep_out(benchmark::State& state) {
    const setup::SweepSetup sweep = setup::sweep_setup_of(demo());
    double checksum = 0;
    for (auto _ : state)
        checksum = setup::keep_out_of(demo(), sweep.transmitter, sweep.table).electric_public_m;
    state.counters["m"] = checksum;
}
BENCHMARK(keep_out)->Unit(benchmark::kMillisecond);

/// Without the days before and after.
void tune(benchmark::State& state) {
    double checksum = 0;
    for (auto _ : state) checksum = tune::tune(demo(), {}).after.energy_wh;
    state.counters["Wh"] = checksum;
}
BENCHMARK(tune)->Unit(benchmark::kMillisecond);

/// Stations strewn over 4 km2; exact up to 14, a local search beyond.
void station_order(benchmark::State& state) {
    plan::Plan plan = demo();
    const plan::Station pattern = plan.stations.front();
    const run::CounterRandom random(1, 1);
    plan.stations.clear();
    plan.day.legs.clear();
    for (int i = 0; i < state.range(0); ++i) {
        plan::Station station = pattern;
        station.name = "S" + std::to_string(i);
        station.place.x_m = 2000 * random.uniform(2 * static_cast<std::uint64_t>(i));
        station.place.y_m = 2000 * random.uniform(2 * static_cast<std::uint64_t>(i) + 1);
        plan.stations.push_back(station);
    }
    double checksum = 0;
    for (auto _ : state) checksum = day::improved_order(plan).found.receiver_m;
    state.counters["m"] = checksum;
}
BENCHMARK(station_order)->Arg(12)->Arg(14)->Arg(100)->Arg(1000)->Unit(benchmark::kMillisecond);

}  // namespace
