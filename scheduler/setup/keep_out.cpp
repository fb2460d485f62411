#include "scheduler/setup/keep_out.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/loop/exposure.hpp"
#include "model/transmitter/operating_point.hpp"

namespace ampturn::plan {

KeepOut keep_out_of(const Plan& plan, const model::Rig& rig, const PlannedTable& table) {
    KeepOut out{};
    const double cold_c = plan.day.air_temperature_c(plan.day.start_s);
    const model::Conditions conditions{.winding_c = {cold_c, cold_c},
                                       .electronics_c = cold_c,
                                       .battery = model::battery_source(rig.design.battery, 1, cold_c)};
    // Field index per tesla and ampere-turn; the largest over the steps of each loop decides.
    double sum_public[2] = {0, 0}, sum_occupational[2] = {0, 0};
    for (const core::Step& step : table.table.used()) {
        const bool is_b = step.loop == core::Loop::b;
        const model::DriveRequest request{
            .frequency_hz = static_cast<double>(plan.driver.clock_hz) / step.divisor,
            .fundamental_peak_a = 1e-3 * step.current_ma_peak,
            .loop = is_b ? model::LoopSelection::b : model::LoopSelection::a,
            .tap_index = step.tap - 1,
            .capacitor_index = step.capacitor - 1};
        const model::OperatingPoint point = model::solve_operating_point(rig, conditions, request);
        out.fundamental_a_peak.push_back(point.current.fundamental_peak_a);
        if (!point.solved) continue;
        std::vector<model::CurrentLine> lines;
        const int turns = model::selected_tap(rig, request).turns;
        for (int slot = 0; slot < model::harmonic_slots; ++slot)
            lines.push_back({.frequency_hz = (2 * slot + 1) * request.frequency_hz,
                             .rms_a = turns * point.current.harmonic_peak_a[static_cast<std::size_t>(slot)] /
                                      std::sqrt(2.0)});
        const std::size_t loop = is_b ? 1 : 0;
        sum_public[loop] = std::max(sum_public[loop],
                                    model::exposure_sum_a_per_t(model::ExposureGroup::general_public, lines));
        sum_occupational[loop] = std::max(
            sum_occupational[loop], model::exposure_sum_a_per_t(model::ExposureGroup::occupational, lines));
        if (request.capacitor_index >= 0 && point.current.capacitor_peak_v > out.capacitor_peak_v) {
            out.capacitor_peak_v = point.current.capacitor_peak_v;
            out.capacitor_to_safe_s =
                model::discharge_time_s(
                    rig.design.capacitors[static_cast<std::size_t>(request.capacitor_index)],
                    point.current.capacitor_peak_v, plan.safety.safe_capacitor_v)
                    .value_or(std::numeric_limits<double>::infinity());
        }
    }
    for (const std::size_t loop : {std::size_t{0}, std::size_t{1}}) {
        const std::vector<model::LoopPoint> wire =
            model::placed_vertices(loop == 0 ? rig.design.loop_a : *rig.design.loop_b);
        if (sum_public[loop] > 0)
            out.public_m = std::max(out.public_m, model::keep_out_distance_m(wire, 1 / sum_public[loop]));
        if (sum_occupational[loop] > 0)
            out.occupational_m =
                std::max(out.occupational_m, model::keep_out_distance_m(wire, 1 / sum_occupational[loop]));
    }
    out.public_m += plan.safety.keep_out_margin_m;
    out.occupational_m += plan.safety.keep_out_margin_m;
    return out;
}

}  // namespace ampturn::plan
