#include <benchmark/benchmark.h>

#include <cmath>

#include "model/transmitter/best_choice.hpp"
#include "model/transmitter/operating_point.hpp"
#include "model/transmitter/plant.hpp"
#include "tests/model/transmitter/example_transmitter.hpp"

// The planner asks for the best tap and capacitor of a whole table again and again, and the day for many
// short advances of the plant.
namespace {

using namespace ampturn::model::transmitter;

Transmitter big_transmitter(bool converter) {
    TransmitterDesign d = example_design();
    d.loop_b.reset();
    d.loop_a.taps = {1, 2, 3, 4, 5, 6, 8, 10};
    d.capacitors.clear();
    for (int i = 0; i < 32; ++i) d.capacitors.push_back({1e-9 * std::pow(1.5, i), 0.05, 1500, 1e6, 0.02});
    if (converter) d.supply = {.converter = true, .bus_v = 48, .efficiency = 0.92};
    return prepare(d);
}

// 64 steps x 8 taps x (32 capacitors and none).
void best_of_the_table(benchmark::State& state) {
    const Transmitter transmitter = big_transmitter(state.range(0) != 0);
    Conditions at;
    at.battery = battery_source(transmitter.design.battery, 0.9, 20);
    const double target = state.range(1) != 0 ? 4.0 : no_limit;
    double checksum = 0;
    int solved = 0;
    for (auto _ : state) {
        checksum = 0;
        solved = 0;
        for (int i = 0; i < 64; ++i) {
            const BestChoice best = best_tap_and_capacitor(
                transmitter, at,
                {.frequency_hz = 10 * std::pow(1e4, i / 63.0), .fundamental_peak_a = target});
            checksum += best.point.moment_peak_a_m2;
            solved += best.evaluated;
        }
        benchmark::DoNotOptimize(checksum);
    }
    state.counters["checksum_a_m2"] = checksum;
    state.counters["points_solved"] = solved;
    state.counters["points_of"] = 64 * 8 * 33;
}
BENCHMARK(best_of_the_table)
    ->ArgNames({"converter", "target"})
    ->Args({0, 0})
    ->Args({1, 0})
    ->Args({0, 1})
    ->Args({1, 1})
    ->Unit(benchmark::kMillisecond);

// The same by trying everything: what branch and bound saves.
void exhaustive_table(benchmark::State& state) {
    const Transmitter transmitter = big_transmitter(false);
    Conditions at;
    at.battery = battery_source(transmitter.design.battery, 0.9, 20);
    double checksum = 0;
    for (auto _ : state) {
        checksum = 0;
        for (int i = 0; i < 64; ++i) {
            double most = 0;
            DriveRequest q{.frequency_hz = 10 * std::pow(1e4, i / 63.0)};
            for (q.tap_index = 0; q.tap_index < 8; ++q.tap_index)
                for (q.capacitor_index = -1; q.capacitor_index < 32; ++q.capacitor_index)
                    most = std::max(most, solve_operating_point(transmitter, at, q, false).moment_peak_a_m2);
            checksum += most;
        }
        benchmark::DoNotOptimize(checksum);
    }
    state.counters["checksum_a_m2"] = checksum;
}
BENCHMARK(exhaustive_table)->Unit(benchmark::kMillisecond);

// One dwell of 60 s.
void plant_dwell(benchmark::State& state) {
    const Transmitter transmitter = big_transmitter(false);
    Drive drive;
    drive.mode = DriveMode::sending;
    drive.frequency_hz = 200;
    drive.tap_index = 4;
    drive.target_fundamental_peak_a = 5;
    double checksum = 0;
    for (auto _ : state) {
        PlantState s = plant_at_rest(transmitter, 20);
        const PlantResult dwell = advance(transmitter, s, drive, 60);
        benchmark::DoNotOptimize(&dwell);
        checksum = dwell.charge_out_ah;
    }
    state.counters["checksum_ah"] = checksum;
}
BENCHMARK(plant_dwell)->Unit(benchmark::kMicrosecond);

}  // namespace
