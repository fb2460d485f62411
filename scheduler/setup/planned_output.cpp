#include "scheduler/setup/planned_output.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/transmitter/operating_point.hpp"
#include "model/transmitter/thermal.hpp"

namespace ampturn::plan {

namespace {

constexpr double copper_alpha20_per_k = 3.93e-3;  // IEC 60028
constexpr double horizon_s = 86'400;

double heat_limit_s(const model::Rig& rig, const model::OperatingPoint& point, double air_c) {
    const double rms2 = point.current.rms_a * point.current.rms_a;
    const model::HeatInput heat{
        .rms_a = point.current.rms_a,
        .winding_r20_ohm =
            rms2 > 0 ? point.power.copper_w / rms2 / (1 + copper_alpha20_per_k * (air_c - 20)) : 0,
        .winding_alpha20_per_k = copper_alpha20_per_k,
        .bridge_r25_ohm = 0,
        .bridge_beta25_per_k = 0,
        .electronics_fixed_w = point.power.bridge_w + point.power.switching_w + point.power.fixed_w};
    double shortest_s = std::numeric_limits<double>::infinity();
    for (const auto& [node, limit_c] : {std::pair{model::HeatNode::winding, rig.design.limits.winding_c},
                                        {model::HeatNode::electronics, rig.design.limits.electronics_c}})
        if (const auto time_s = model::time_to_limit_s(rig.design.thermal, heat, air_c, {air_c, air_c}, node,
                                                       limit_c, horizon_s))
            shortest_s = std::min(shortest_s, *time_s);
    return shortest_s;
}

}  // namespace

std::vector<PlannedOutput> planned_outputs(const Plan& plan, const model::Rig& rig,
                                           const PlannedTable& table) {
    const double temperature_c = table.made_for.temperature_c;
    const model::Conditions conditions{
        .winding_c = {temperature_c, temperature_c},
        .electronics_c = temperature_c,
        .battery = model::battery_source(rig.design.battery, table.made_for.state_of_charge_fraction,
                                         temperature_c)};
    std::vector<PlannedOutput> out;
    for (const core::Step& step : table.table.used()) {
        const Drive drive = step.loop == core::Loop::b                    ? Drive::b
                            : step.loop == core::Loop::both_in_quadrature ? Drive::both
                                                                          : Drive::a;
        const model::DriveRequest request{
            .frequency_hz = static_cast<double>(plan.driver.clock_hz) / step.divisor,
            .fundamental_peak_a = 1e-3 * step.current_ma_peak,
            .loop = drive == Drive::b      ? model::LoopSelection::b
                    : drive == Drive::both ? model::LoopSelection::both
                                           : model::LoopSelection::a,
            .tap_index = step.tap - 1,
            .capacitor_index = step.capacitor - 1};
        const model::OperatingPoint point = model::solve_operating_point(rig, conditions, request, false);
        PlannedOutput output{
            static_cast<int>(out.size()) + 1, drive, request.frequency_hz, 0, 0, 0, point.solved,
            model::name(point.limited_by)};
        if (point.solved) {
            output.moment_a_m2_peak = point.moment_peak_a_m2;
            output.current_a_rms = point.current.rms_a;
            output.battery_w = point.power.battery_w;
            output.heat_limit_s = heat_limit_s(rig, point, temperature_c);
        }
        out.push_back(std::move(output));
    }
    return out;
}

}  // namespace ampturn::plan
