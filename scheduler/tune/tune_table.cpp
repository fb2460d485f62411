#include "scheduler/tune/tune_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::tune {

namespace {

constexpr double least_watts = 1e-6;  // so that a second always has a price

/// Nominal dwells a step can take: whole cycles, or whole records.
double quantum_s(const plan::Plan& plan, double frequency_hz) {
    return plan.sweep.coherent_records ? plan.receiver.record_length / plan.receiver.sample_rate_hz
                                       : 1 / frequency_hz;
}

/// Bounds of a step on its quanta: the lower rounded up, the upper down, heat counted.
std::pair<double, double> bounds_of(const plan::Plan& plan, const plan::Step& step,
                                    const setup::PlannedOutput& output) {
    const double quantum = quantum_s(plan, output.frequency_hz);
    const double longest_s = std::min(step.max_dwell_s, output.heat_limit_s);
    const double lower_s = rounded_up(step.min_dwell_s, quantum);
    const double upper_s = quantum * std::floor(longest_s / quantum * (1 + 1e-12));
    if (upper_s < lower_s || upper_s <= 0)
        throw plan.error(
            step.key(),
            fmt::format("no whole {} between {:g} s and {:g} s",
                        plan.sweep.coherent_records ? "record" : "cycle", step.min_dwell_s, longest_s),
            output.heat_limit_s < step.max_dwell_s ? "a dwell that heat allows: less current"
                                                   : "a wider range of dwells");
    return {lower_s, upper_s};
}

/// Settle, ramps and gap of a step: seconds, and joules with a third of the power in
/// the ramps (a linear ramp of current).
struct Overhead {
    double seconds, joules;
};
Overhead overhead_of(const plan::Step& step, const setup::PlannedOutput& output, double idle_w) {
    const double ramps_s = 2 * step.ramp_cycles / output.frequency_hz;
    const double still_s = step.settle_s + step.gap_s;
    return {ramps_s + still_s, ramps_s * output.battery_w / 3 + still_s * idle_w};
}

}  // namespace

TuneTable tune_table(const plan::Plan& plan, const setup::SweepSetup& setup) {
    const std::vector<setup::PlannedOutput>& outputs = setup.outputs;
    const double idle_w = setup.transmitter.design.idle_w;
    const std::vector<reading::SurveyFrequency> frequencies = reading::survey_frequencies(plan, setup);
    for (const reading::SurveyFrequency& f : frequencies)
        if (f.steps_a.size() != 1 || f.steps_b.size() != 1 || !f.steps_together.empty())
            throw plan.error(
                plan.sweep
                    .steps[!f.steps_together.empty() ? f.steps_together[0]
                           : f.steps_a.empty()       ? f.steps_b[0]
                                                     : f.steps_a[0]]
                    .key(),
                fmt::format("{} steps of loop A, {} of loop B and {} of both at {:g} Hz", f.steps_a.size(),
                            f.steps_b.size(), f.steps_together.size(), f.frequency_hz),
                "exactly one step of each loop at a frequency, so that their dwells can be weighed");
    TuneTable table;
    for (const reading::SurveyFrequency& f : frequencies) {
        const std::size_t a = f.steps_a[0], b = f.steps_b[0];
        const plan::Step &step_a = plan.sweep.steps[a], &step_b = plan.sweep.steps[b];
        const auto [lower_a, upper_a] = bounds_of(plan, step_a, outputs[a]);
        const auto [lower_b, upper_b] = bounds_of(plan, step_b, outputs[b]);
        const Overhead of_a = overhead_of(step_a, outputs[a], idle_w),
                       of_b = overhead_of(step_b, outputs[b], idle_w);
        table.rows.push_back({.frequency = f,
                              .step_a = a,
                              .step_b = b,
                              .own = {step_a.dwell_s, step_b.dwell_s},
                              .bounds = {lower_a, upper_a, lower_b, upper_b},
                              .watts_a = std::max(least_watts, outputs[a].battery_w),
                              .watts_b = std::max(least_watts, outputs[b].battery_w),
                              .quantum_s = quantum_s(plan, f.frequency_hz),
                              .overhead_s = of_a.seconds + of_b.seconds,
                              .overhead_j = of_a.joules + of_b.joules,
                              .heat_limits = outputs[a].heat_limit_s < step_a.max_dwell_s ||
                                             outputs[b].heat_limit_s < step_b.max_dwell_s});
        table.overhead_s += table.rows.back().overhead_s;
        table.overhead_j += table.rows.back().overhead_j;
    }
    if (plan.sweep.time_budget_s) table.budget.time_s = *plan.sweep.time_budget_s - table.overhead_s;
    if (plan.sweep.energy_budget_wh)
        table.budget.energy_j = 3600 * *plan.sweep.energy_budget_wh - table.overhead_j;
    return table;
}

DwellPair sent_dwells(const TuneRow& row, const setup::PlannedTable& table) {
    return {table.rows[row.step_a].dwell_s, table.rows[row.step_b].dwell_s};
}

base::InputError budget_too_small(const plan::Plan& plan, const TuneTable& table) {
    double least_s = table.overhead_s, least_j = table.overhead_j;
    for (const TuneRow& row : table.rows) {
        least_s += row.bounds.lower_a_s + row.bounds.lower_b_s;
        least_j += row.watts_a * row.bounds.lower_a_s + row.watts_b * row.bounds.lower_b_s;
    }
    const bool time_short = plan.sweep.time_budget_s && least_s > *plan.sweep.time_budget_s;
    return plan.error(time_short ? "sweep.time_budget_s" : "sweep.energy_budget_wh",
                      time_short ? fmt::format("{:g} s", *plan.sweep.time_budget_s)
                                 : fmt::format("{:g} Wh", plan.sweep.energy_budget_wh.value_or(0)),
                      fmt::format("at least {} s and {} Wh, what the shortest dwells of the table take",
                                  base::brief(std::ceil(least_s), 6), base::significant(least_j / 3600, 4)));
}

int noisiest_hour(const plan::Plan& plan, const plan::Station& station, double frequency_hz,
                  double surface_impedance_ohm) {
    const int first = static_cast<int>(plan.day.start_s / 3600),
              last = static_cast<int>(plan.day.end_s / 3600);
    const auto level = [&](int hour) {
        return setup::noise_at_station(plan, station, hour, frequency_hz, surface_impedance_ohm).h.total();
    };
    int worst = first;
    double worst_level = level(first);
    for (int hour = first + 1; hour <= last; ++hour)
        if (const double here = level(hour); here > worst_level) {
            worst = hour;
            worst_level = here;
        }
    return worst;
}

}  // namespace ampturn::tune
