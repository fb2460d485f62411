#include "scheduler/plan/plausibility_remarks.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>

#include "scheduler/base/number_text.hpp"

namespace ampturn::plan {

void remark_cell_volts(const Plan& plan, Remarks& remarks) {
    const bool lithium = plan.battery.chemistry == Chemistry::lifepo4;
    const double lowest_v = lithium ? 2.5 : 1.7, highest_v = lithium ? 3.1 : 1.95;
    const int cells = plan.battery.cells() * plan.battery.in_series;
    const double cell_v = plan.battery.cut_off_v / cells;
    constexpr double rounding_v = 1e-9;
    if (cell_v >= lowest_v - rounding_v && cell_v <= highest_v + rounding_v) return;
    remarks.add(
        "battery.cut_off_v",
        fmt::format(
            "{:.3g} V in each of {} cells, usual are {:g} to {:g} V: {:.4g} to {:.4g} V for the set. Is "
            "the number of cells right?",
            cell_v, cells, lowest_v, highest_v, lowest_v * cells, highest_v * cells));
}

void remark_bus_volts(const Plan& plan, Remarks& remarks) {
    if (plan.driver.supply != Supply::dc_dc) return;
    const double full_cell_v = plan.battery.chemistry == Chemistry::lifepo4 ? 3.65 : 2.4;
    const double full_v = full_cell_v * plan.battery.cells() * plan.battery.in_series;
    if (plan.driver.bus_v < plan.battery.cut_off_v || plan.driver.bus_v > full_v) return;
    remarks.add(
        "driver.bus_v",
        fmt::format("{} V lie between the set's {} V at cut-off and {} V when full: a converter that only "
                    "steps up or only steps down cannot hold them all day",
                    base::brief(plan.driver.bus_v, 4), base::brief(plan.battery.cut_off_v, 4),
                    base::brief(full_v, 4)));
}

void remark_repeats(const Plan& plan, Remarks& remarks) {
    const double bin_hz = plan.receiver.sample_rate_hz / plan.receiver.record_length;
    const std::vector<Step>& steps = plan.sweep.steps;
    int told = 0;  // entry; loops A and B of one would say the same twice
    for (std::size_t i = 0; i < steps.size(); ++i)
        for (std::size_t k = 0; k < i; ++k) {
            const Step &step = steps[i], &earlier = steps[k];
            const double apart_hz = std::abs(step.frequency_hz - earlier.frequency_hz);
            if (step.loop != earlier.loop || step.entry == earlier.entry || step.entry == told) continue;
            if (apart_hz >= bin_hz) continue;
            told = step.entry;
            remarks.add(step.key(),
                        apart_hz == 0
                            ? fmt::format("{} Hz is sent again with the same loop", step.frequency_hz)
                            : fmt::format("{} Hz lies {} Hz from {} Hz, nearer than a bin of {} Hz: one "
                                          "record cannot tell them apart",
                                          step.frequency_hz, base::brief(apart_hz, 3), earlier.frequency_hz,
                                          base::brief(bin_hz, 3)));
        }
}

}  // namespace ampturn::plan
