#include "scheduler/day/battery_percentiles.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace ampturn::day {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

Spread spread(const std::vector<double>& values) {
    if (values.empty()) return {unknown, unknown, {unknown, unknown, unknown}};
    const auto [lowest, highest] = std::minmax_element(values.begin(), values.end());
    return {*lowest, *highest, percentiles(values)};
}

}  // namespace

Percentiles percentiles(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const auto at = [&](double p) {
        const double x = p * static_cast<double>(values.size() - 1);
        const auto i = static_cast<std::size_t>(x);
        const double next = values[std::min(i + 1, values.size() - 1)];
        return values[i] + (x - static_cast<double>(i)) * (next - values[i]);
    };
    return {.p10 = at(0.1), .p50 = at(0.5), .p90 = at(0.9)};
}

void BatteryTraceRecorder::add(const BatteryInterval& interval) {
    const double span_s = interval.to_s - interval.from_s;
    const auto between = [&](double start, double end, double t) {
        return span_s > 0 ? start + (end - start) * (t - interval.from_s) / span_s : end;
    };
    const auto volts_at = [&](double t) {
        return between(interval.terminal_start_v, interval.terminal_end_v, t);
    };
    std::vector<double>& charge = trace_.charge_fraction;
    std::vector<double>& lowest_v = trace_.lowest_v;
    if (charge.empty()) last_charge_fraction_ = interval.charge_start_fraction;
    while (time_s(charge.size()) <= interval.to_s) {
        const double t = time_s(charge.size());
        charge.push_back(t < interval.from_s
                             ? last_charge_fraction_
                             : between(interval.charge_start_fraction, interval.charge_end_fraction, t));
    }
    // A stretch of the grid holds its end, not its start; the first holds the time before the grid too.
    const auto stretch = [&](double x) { return static_cast<std::size_t>(std::max(0.0, x)); };
    const auto last = stretch(std::ceil((interval.to_s - start_s_) / battery_grid_step_s));
    const auto first =
        std::min(last, stretch(std::floor((interval.from_s - start_s_) / battery_grid_step_s) + 1));
    if (lowest_v.size() <= last) lowest_v.resize(last + 1, unknown);
    for (std::size_t k = first; k <= last; ++k) {
        const double from_s = k == first ? interval.from_s : time_s(k - 1);
        const double to_s = k == last ? interval.to_s : time_s(k);
        const double lower = std::min(volts_at(from_s), volts_at(to_s));
        if (!(lowest_v[k] <= lower)) lowest_v[k] = lower;
    }
    last_charge_fraction_ = interval.charge_end_fraction;
}

BatteryTrace BatteryTraceRecorder::take() {
    trace_.charge_fraction.resize(std::max(trace_.charge_fraction.size(), trace_.lowest_v.size()),
                                  last_charge_fraction_);
    trace_.lowest_v.resize(trace_.charge_fraction.size(), unknown);
    return std::move(trace_);
}

BatteryPercentiles battery_percentiles(double start_s, const std::vector<BatteryTrace>& traces) {
    BatteryPercentiles out;
    std::size_t longest = 0;
    for (const BatteryTrace& trace : traces) {
        out.runs += !trace.charge_fraction.empty();
        longest = std::max(longest, trace.charge_fraction.size());
    }
    for (std::size_t k = 0; k < longest; ++k) {
        std::vector<double> charge, volts;
        for (const BatteryTrace& trace : traces) {
            if (trace.charge_fraction.empty()) continue;
            charge.push_back(trace.charge_fraction[std::min(k, trace.charge_fraction.size() - 1)]);
            if (k < trace.lowest_v.size() && !std::isnan(trace.lowest_v[k]))
                volts.push_back(trace.lowest_v[k]);
        }
        out.time_s.push_back(start_s + battery_grid_step_s * static_cast<double>(k));
        out.connected.push_back(static_cast<int>(volts.size()));
        out.charge_fraction.push_back(spread(charge));
        out.lowest_v.push_back(spread(volts));
    }
    return out;
}

}  // namespace ampturn::day
