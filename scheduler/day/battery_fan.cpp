#include "scheduler/day/battery_fan.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"

namespace ampturn::plan {
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

void BatteryCourseRecorder::add(const BatteryInterval& interval) {
    const double span_s = interval.to_s - interval.from_s;
    const auto between = [&](double start, double end, double t) {
        return span_s > 0 ? start + (end - start) * (t - interval.from_s) / span_s : end;
    };
    const auto volts_at = [&](double t) {
        return between(interval.terminal_start_v, interval.terminal_end_v, t);
    };
    std::vector<double>& charge = course_.charge_fraction;
    std::vector<double>& lowest_v = course_.lowest_v;
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

BatteryCourse BatteryCourseRecorder::take() {
    course_.charge_fraction.resize(std::max(course_.charge_fraction.size(), course_.lowest_v.size()),
                                   last_charge_fraction_);
    course_.lowest_v.resize(course_.charge_fraction.size(), unknown);
    return std::move(course_);
}

BatteryFan battery_fan(double start_s, const std::vector<BatteryCourse>& courses) {
    BatteryFan out;
    std::size_t longest = 0;
    for (const BatteryCourse& course : courses) {
        out.draws += !course.charge_fraction.empty();
        longest = std::max(longest, course.charge_fraction.size());
    }
    for (std::size_t k = 0; k < longest; ++k) {
        std::vector<double> charge, volts;
        for (const BatteryCourse& course : courses) {
            if (course.charge_fraction.empty()) continue;
            charge.push_back(course.charge_fraction[std::min(k, course.charge_fraction.size() - 1)]);
            if (k < course.lowest_v.size() && !std::isnan(course.lowest_v[k]))
                volts.push_back(course.lowest_v[k]);
        }
        out.time_s.push_back(start_s + battery_grid_step_s * static_cast<double>(k));
        out.connected.push_back(static_cast<int>(volts.size()));
        out.charge_fraction.push_back(spread(charge));
        out.lowest_v.push_back(spread(volts));
    }
    return out;
}

nlohmann::ordered_json battery_fan_json(const BatteryFan& fan) {
    using Json = nlohmann::ordered_json;
    const auto columns = [](const std::vector<Spread>& spreads) {
        Json out{{"lowest", Json::array()},
                 {"p10", Json::array()},
                 {"p50", Json::array()},
                 {"p90", Json::array()},
                 {"highest", Json::array()}};
        for (const Spread& s : spreads) {
            out["lowest"].push_back(json_number(s.lowest));
            out["p10"].push_back(json_number(s.percentiles.p10));
            out["p50"].push_back(json_number(s.percentiles.p50));
            out["p90"].push_back(json_number(s.percentiles.p90));
            out["highest"].push_back(json_number(s.highest));
        }
        return out;
    };
    Json times = Json::array();
    for (const double t : fan.time_s) times.push_back(json_number(t));
    return {{"draws", fan.draws},
            {"step_s", battery_grid_step_s},
            {"time_s", std::move(times)},
            {"charge_total_fraction", columns(fan.charge_fraction)},
            {"connected_draws", fan.connected},
            {"lowest_terminal_v", columns(fan.lowest_v)}};
}

std::string battery_fan_csv(const BatteryFan& fan) {
    CsvTable csv({"time_s", "draws", "charge_lowest_fraction", "charge_p10_fraction", "charge_p50_fraction",
                  "charge_p90_fraction", "charge_highest_fraction", "connected_draws", "terminal_lowest_v",
                  "terminal_p10_v", "terminal_p50_v", "terminal_p90_v", "terminal_highest_v"});
    const auto add = [&](const Spread& s) {
        csv.cell(s.lowest).cell(s.percentiles.p10).cell(s.percentiles.p50).cell(s.percentiles.p90);
        csv.cell(s.highest);
    };
    for (std::size_t k = 0; k < fan.time_s.size(); ++k) {
        csv.cell(fan.time_s[k]).cell(fan.draws);
        add(fan.charge_fraction[k]);
        csv.cell(fan.connected[k]);
        add(fan.lowest_v[k]);
        csv.end_row();
    }
    return csv.text();
}

}  // namespace ampturn::plan
