#include "scheduler/setup/survey_setup.hpp"

#include <algorithm>
#include <utility>

#include "scheduler/setup/earth_of_plan.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::setup {
namespace {

std::vector<double> frequencies_of(const std::vector<TableRow>& rows) {
    std::vector<double> out;
    for (const TableRow& row : rows)
        if (std::find(out.begin(), out.end(), row.frequency_hz) == out.end()) out.push_back(row.frequency_hz);
    return out;
}

}  // namespace

SweepSetup sweep_setup_of(const plan::Plan& plan) {
    SweepSetup out{.earth = earth_of(plan),
                   .grounds = grounds_of(plan),
                   .transmitter = transmitter_of(plan),
                   .unit = {},
                   .table = {},
                   .frequencies_hz = {},
                   .outputs = {}};
    out.unit = unit_config_of(plan, out.transmitter);
    out.table = table_of(plan, out.transmitter, out.unit, planning_condition_of(plan));
    out.frequencies_hz = frequencies_of(out.table.rows);
    out.outputs = planned_outputs(out.transmitter, out.table);
    return out;
}

SurveySetup with_keep_out(const plan::Plan& plan, SweepSetup sweep) {
    const KeepOut keep_out = keep_out_of(plan, sweep.transmitter, sweep.table);
    return {std::move(sweep), keep_out};
}

SurveySetup survey_setup_of(const plan::Plan& plan) { return with_keep_out(plan, sweep_setup_of(plan)); }

SurveySetup survey_setup_of(const plan::Plan& changed, const SurveySetup& planned) {
    SurveySetup out = planned;
    out.earth = earth_of(changed);
    out.grounds = grounds_of(changed);
    out.transmitter = with_battery_set(std::move(out.transmitter), changed, 0);
    return out;
}

}  // namespace ampturn::setup
