#include <cstdint>

#include "firmware-sim/unit/kit.hpp"

namespace ampturn::sim {
namespace {

constexpr std::uint32_t clock_hz = 24'000'000;
constexpr std::uint32_t settle = clock_hz / 50, gap = clock_hz / 20;  // 20 ms, 50 ms

constexpr core::Step step(core::Loop loop, std::uint8_t tap, std::uint32_t divisor, std::uint32_t cycles,
                          std::uint32_t current_ma_peak) {
    return {.loop = loop,
            .tap = tap,
            .divisor = divisor,
            .cycles = cycles,
            .current_ma_peak = current_ma_peak,
            .ramp_cycles = clock_hz / 5 / divisor,  // 0.2 s
            .settle_ticks = settle,
            .gap_ticks = gap};
}

// 96 Hz on 24 turns, 384 Hz on 12, 1535.9 Hz on 6; ten seconds each; clear of 50 and 60 Hz harmonics by 4 Hz or more.
constexpr core::Step steps[] = {
    step(core::Loop::a, 3, 250'000, 960, 3'000),    step(core::Loop::b, 3, 250'000, 960, 3'000),
    step(core::Loop::a, 2, 62'500, 3'840, 3'500),   step(core::Loop::b, 2, 62'500, 3'840, 3'500),
    step(core::Loop::a, 1, 15'626, 15'360, 3'500),  step(core::Loop::b, 1, 15'626, 15'360, 3'500),
};

model::LoopDesign square(double azimuth_deg) {
    return {.outline = model::square_outline(4.0),
            .wire = model::wire_of_area(4e-6),
            .pitch_m = 6e-3,
            .taps = {6, 12, 24},
            .lead_resistance_ohm = 0.05,
            .centre_height_m = 2.5,
            .normal_azimuth_deg = azimuth_deg};
}

}  // namespace

UnitKit bench_kit(std::uint64_t seed) {
    model::RigDesign design;
    design.loop_a = square(0);
    design.loop_b = square(90);
    design.driver.dead_time_s = 500e-9;
    design.battery = {.block = model::typical_block(model::Chemistry::lead_agm, 24, 40)};
    design.limits.winding_c = 80;
    design.limits.electronics_c = 85;

    UnitKit kit;
    kit.name = "bench set (invented)";
    kit.survey = "bench practice (invented)";
    kit.stand = "bench";
    kit.operator_name = "not given";
    kit.position = "not given";
    kit.setup.rig = model::prepare(design);
    kit.setup.seed = seed;
    core::Config& config = kit.setup.config;
    config.clock_hz = clock_hz;
    config.over_current_ma = 12'000;
    config.open_loop_mohm = 50'000;
    config.shorted_loop_mohm = 150;
    config.under_voltage_mv = 21'000;
    config.winding_limit_mdeg_c = 80'000;
    config.winding_restart_mdeg_c = 60'000;
    config.limits.current_ma_peak_max = 10'000;
    config.limits.taps = 3;
    config.limits.capacitors = 0;
    config.limits.quadrature = false;
    kit.table.table_id = 1;
    kit.table.step_count = static_cast<std::uint16_t>(std::size(steps));
    for (std::size_t i = 0; i < std::size(steps); ++i) kit.table.steps[i] = steps[i];
    static_assert(core::check(steps).reason == core::Refusal::none);
    kit.turns_a = kit.turns_b = {6, 12, 24};
    kit.loop_area_m2 = {16, 16};
    kit.loop_height_m = {2.5, 2.5};
    kit.keep_out_m = 4;
    kit.keep_out_basis = "half the loop's width and 2 m";
    return kit;
}

}  // namespace ampturn::sim
