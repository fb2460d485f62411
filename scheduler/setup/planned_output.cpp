#include "scheduler/setup/planned_output.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/transmitter/heat_of.hpp"

namespace ampturn::setup {

namespace {

constexpr double horizon_s = 86'400;

}  // namespace

std::vector<PlannedOutput> planned_outputs(const model::transmitter::Transmitter& transmitter,
                                           const PlannedTable& table) {
    const model::transmitter::Conditions conditions = transmitter_conditions(transmitter, table.made_for);
    std::vector<PlannedOutput> out;
    for (const TableRow& row : table.rows) {
        const model::transmitter::DriveRequest& request = row.request;
        const model::transmitter::OperatingPoint point =
            model::transmitter::solve_operating_point(transmitter, conditions, request, false);
        PlannedOutput output{.step_number = row.step_number,
                             .loop = row.loop,
                             .frequency_hz = request.frequency_hz,
                             .solved = point.solved};
        if (point.solved) {
            output.moment_a_m2_peak = point.moment_peak_a_m2;
            output.moment_b_a_m2_peak = point.moment_b_peak_a_m2;
            output.current_a_rms = std::max(point.current.rms_a, point.current_b.rms_a);
            output.battery_w = point.power.battery_w;
            output.heat_limit_s = model::transmitter::time_to_heat_limit_s(
                                      transmitter, request, point, table.made_for.temperature_c, horizon_s)
                                      .value_or(std::numeric_limits<double>::infinity());
        }
        out.push_back(output);
    }
    return out;
}

}  // namespace ampturn::setup
