#include "scheduler/report/monte_carlo_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"

namespace ampturn::report {
namespace {

nlohmann::ordered_json json_of(const day::Percentiles& p) {
    return {{"p10", p.p10}, {"p50", p.p50}, {"p90", p.p90}};
}

/// Every hour of the day.
std::string battery_text(const day::BatteryPercentiles& battery) {
    std::string out =
        "Battery in use          charge left, per cent        lowest voltage since the hour before\n"
        "                       P10     P50     P90             P10     P50     P90\n";
    constexpr auto hour = static_cast<std::size_t>(3600 / day::battery_grid_step_s);
    for (std::size_t k = hour; k < battery.time_s.size() + hour - 1; k += hour) {
        const std::size_t last = std::min(k, battery.time_s.size() - 1);
        std::vector<day::Spread> hours(battery.lowest_v.begin() + static_cast<std::ptrdiff_t>(k - hour + 1),
                                       battery.lowest_v.begin() + static_cast<std::ptrdiff_t>(last + 1));
        const auto lowest = [&](double day::Percentiles::*which) {
            double v = HUGE_VAL;
            for (const day::Spread& s : hours)
                if (s.percentiles.*which < v) v = s.percentiles.*which;
            return v < HUGE_VAL ? fmt::format("{:8.2f}", v) : std::string("       -");
        };
        const day::Percentiles& charge = battery.charge_fraction[last].percentiles;
        out += fmt::format("  {:16} {:7.1f} {:7.1f} {:7.1f}        {}{}{}\n",
                           base::clock_minutes_text(battery.time_s[last]), 100 * charge.p10, 100 * charge.p50,
                           100 * charge.p90, lowest(&day::Percentiles::p10), lowest(&day::Percentiles::p50),
                           lowest(&day::Percentiles::p90));
    }
    return out;
}

}  // namespace

std::string monte_carlo_text(const day::MonteCarloSummary& runs, const day::DayResult& day) {
    std::string out = fmt::format("{} Monte Carlo runs of the day, seed {}\n", runs.runs, runs.seed);
    out +=
        fmt::format("  every sweep is sent           {:5.1f} % of runs\n", 100 * runs.completes_probability);
    out += fmt::format("  the {} battery set(s) suffice  {:5.1f} % of runs\n", day.batteries_carried,
                       100 * runs.carried_batteries_suffice_probability);
    out += "                                     P10       P50       P90\n";
    const auto row = [&](const char* what, const day::Percentiles& p) {
        out += fmt::format("  {:30} {:>9} {:>9} {:>9}\n", what, base::brief(p.p10, 4), base::brief(p.p50, 4),
                           base::brief(p.p90, 4));
    };
    row("usable readings", runs.passed_count);
    row("energy, Wh", runs.energy_wh);
    row("lowest battery voltage, V", runs.lowest_battery_v);
    row("battery sets used", runs.batteries_used);
    out +=
        fmt::format("  {:30} {:>9} {:>9} {:>9}\n", "back at base", base::clock_minutes_text(runs.end_s.p10),
                    base::clock_minutes_text(runs.end_s.p50), base::clock_minutes_text(runs.end_s.p90));
    out += battery_text(runs.battery);
    out += "Chance that a station and frequency is usable, per cent\n  station ";
    const std::size_t frequencies = day.frequencies_hz.size();
    for (const double f : day.frequencies_hz) out += fmt::format("{:>5.3g}", f < 1000 ? f : f / 1000);
    out += "   (Hz below 1000, else kHz)\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        out += fmt::format("  {:8.8}", day.stations[s].name);
        for (std::size_t f = 0; f < frequencies; ++f)
            out += fmt::format("{:5.0f}", 100 * runs.readings[s * frequencies + f].usable_probability);
        out += '\n';
    }
    out += fmt::format("What matters most (rank correlation; {:.2f} is chance)\n",
                       1 / std::sqrt(static_cast<double>(runs.runs)));
    out += "                                usable readings  lowest voltage  end of day\n";
    for (const day::Influence& i : runs.influences)
        out += fmt::format("  {:28} {:13.2f} {:15.2f} {:11.2f}\n", i.input, i.on_passed_count,
                           i.on_lowest_voltage, i.on_end_of_day);
    return out;
}

std::string monte_carlo_json_text(const day::MonteCarloSummary& runs, const day::DayResult& day) {
    nlohmann::ordered_json readings = nlohmann::ordered_json::array();
    for (const day::ReadingProbability& p : runs.readings)
        readings.push_back({{"station", day.stations[static_cast<std::size_t>(p.station_index)].name},
                            {"frequency_hz", day.frequencies_hz[static_cast<std::size_t>(p.frequency_index)]},
                            {"usable_probability", p.usable_probability}});
    nlohmann::ordered_json influences = nlohmann::ordered_json::array();
    for (const day::Influence& i : runs.influences)
        influences.push_back({{"input", i.input},
                              {"rank_correlation_usable_readings", i.on_passed_count},
                              {"rank_correlation_lowest_voltage", i.on_lowest_voltage},
                              {"rank_correlation_end_of_day", i.on_end_of_day}});
    const nlohmann::ordered_json out{
        {"schema", "ampturn.monte_carlo"},
        {"schema_version", 1},
        {"plan_crc32", day.plan_crc32},
        {"runs", runs.runs},
        {"seed", runs.seed},
        {"completes_probability", runs.completes_probability},
        {"carried_batteries_suffice_probability", runs.carried_batteries_suffice_probability},
        {"usable_readings", json_of(runs.passed_count)},
        {"energy_wh", json_of(runs.energy_wh)},
        {"lowest_battery_v", json_of(runs.lowest_battery_v)},
        {"battery_sets_used", json_of(runs.batteries_used)},
        {"end_s", json_of(runs.end_s)},
        {"readings", std::move(readings)},
        {"influences", std::move(influences)},
        {"battery", battery_percentiles_json(runs.battery)}};
    return base::json_text(out, 2);
}

}  // namespace ampturn::report
