#include "scheduler/day/battery_percentiles.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"

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
    for (double t = time_s(charge.size()); t <= interval.to_s; t = time_s(charge.size()))
        charge.push_back(t < interval.from_s
                             ? last_charge_fraction_
                             : between(interval.charge_start_fraction, interval.charge_end_fraction, t));
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

nlohmann::ordered_json battery_percentiles_json(const BatteryPercentiles& percentiles) {
    using Json = nlohmann::ordered_json;
    const auto columns = [](const std::vector<Spread>& spreads) {
        Json out{{"lowest", Json::array()},
                 {"p10", Json::array()},
                 {"p50", Json::array()},
                 {"p90", Json::array()},
                 {"highest", Json::array()}};
        for (const Spread& s : spreads) {
            out["lowest"].push_back(base::json_number(s.lowest));
            out["p10"].push_back(base::json_number(s.percentiles.p10));
            out["p50"].push_back(base::json_number(s.percentiles.p50));
            out["p90"].push_back(base::json_number(s.percentiles.p90));
            out["highest"].push_back(base::json_number(s.highest));
        }
        return out;
    };
    Json times = Json::array();
    for (const double t : percentiles.time_s) times.push_back(base::json_number(t));
    return {{"runs", percentiles.runs},
            {"step_s", battery_grid_step_s},
            {"time_s", std::move(times)},
            {"charge_total_fraction", columns(percentiles.charge_fraction)},
            {"connected_runs", percentiles.connected},
            {"lowest_terminal_v", columns(percentiles.lowest_v)}};
}

std::string battery_percentiles_csv(const BatteryPercentiles& percentiles) {
    base::CsvTable csv({"time_s", "runs", "charge_lowest_fraction", "charge_p10_fraction",
                        "charge_p50_fraction", "charge_p90_fraction", "charge_highest_fraction",
                        "connected_runs", "terminal_lowest_v", "terminal_p10_v", "terminal_p50_v",
                        "terminal_p90_v", "terminal_highest_v"});
    const auto add = [&](const Spread& s) {
        csv.cell(s.lowest).cell(s.percentiles.p10).cell(s.percentiles.p50).cell(s.percentiles.p90);
        csv.cell(s.highest);
    };
    for (std::size_t k = 0; k < percentiles.time_s.size(); ++k) {
        csv.cell(percentiles.time_s[k]).cell(percentiles.runs);
        add(percentiles.charge_fraction[k]);
        csv.cell(percentiles.connected[k]);
        add(percentiles.lowest_v[k]);
        csv.end_row();
    }
    return csv.text();
}

}  // namespace ampturn::day
