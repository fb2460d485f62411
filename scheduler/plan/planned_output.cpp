#include "scheduler/plan/planned_output.hpp"

#include <cmath>

#include "model/operating_point.hpp"

namespace ampturn::plan {

std::vector<PlannedOutput> planned_outputs(const Plan& plan, const model::Rig& rig, const PlannedTable& table,
                                           double temperature_c) {
    const model::Conditions conditions{
        .winding_c = {temperature_c, temperature_c},
        .electronics_c = temperature_c,
        .battery = model::battery_source(rig.design.battery, 0.5, temperature_c)};
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
        }
        out.push_back(std::move(output));
    }
    return out;
}

double mean_temperature_c(const Day& day) {
    constexpr int parts = 48;
    double sum_c = 0;
    for (int i = 0; i <= parts; ++i)
        sum_c += day.air_temperature_c(day.start_s + (day.end_s - day.start_s) * i / parts);
    return sum_c / (parts + 1);
}

}  // namespace ampturn::plan
