#include "scheduler/report/step_summary.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/base/number_text.hpp"

namespace ampturn::report {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

void widen(Range& range, double value) {
    if (!std::isfinite(value)) return;
    range.lowest = std::isfinite(range.lowest) ? std::min(range.lowest, value) : value;
    range.highest = std::isfinite(range.highest) ? std::max(range.highest, value) : value;
}

}  // namespace

std::string range_text(const Range& range, int digits) {
    const std::string lowest = base::significant(range.lowest, digits),
                      highest = base::significant(range.highest, digits);
    if (lowest.starts_with('-') && lowest != highest) return lowest + " to " + highest;
    return lowest == highest ? lowest : lowest + "-" + highest;
}

std::string limits_text(const StepSummary& summary) {
    std::string out;
    for (const model::transmitter::Limit limit : summary.limited_by)
        out += (out.empty() ? "" : ", ") + std::string(name_of(limit));
    return out;
}

std::vector<StepSummary> step_summaries(const day::DayResult& day, std::optional<int> site_index) {
    std::vector<StepSummary> all;
    for (const setup::TableRow& row : day.table) {
        StepSummary s{&row, 0, {nan, nan}, {nan, nan}, {nan, nan}, nan, nan, {}};
        double energy_wh = 0;
        int whole = 0;
        for (const day::SweepOutcome& sweep : day.sweeps) {
            if (site_index && sweep.site_index != *site_index) continue;
            for (const day::StepOutcome& step : sweep.steps) {
                if (step.step_number != row.step_number || step.dwell_s <= 0) continue;
                ++s.times_sent;
                widen(s.current_a_peak, step.current_a_peak);
                widen(s.moment_a_m2_peak, step.moment_a_m2_peak);
                widen(s.winding_c, step.winding_c);
                if (std::isfinite(step.battery_lowest_v))
                    s.lowest_v = std::isfinite(s.lowest_v) ? std::min(s.lowest_v, step.battery_lowest_v)
                                                           : step.battery_lowest_v;
                if (step.complete) {
                    energy_wh += step.energy_wh;
                    ++whole;
                }
                if (step.limited_by && std::find(s.limited_by.begin(), s.limited_by.end(),
                                                 *step.limited_by) == s.limited_by.end())
                    s.limited_by.push_back(*step.limited_by);
            }
        }
        if (whole > 0) s.mean_energy_wh = energy_wh / whole;
        all.push_back(std::move(s));
    }
    return all;
}

}  // namespace ampturn::report
