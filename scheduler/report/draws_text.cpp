#include "scheduler/report/draws_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/number_text.hpp"

namespace ampturn::plan {
namespace {

nlohmann::ordered_json json_of(const Percentiles& p) {
    return {{"p10", p.p10}, {"p50", p.p50}, {"p90", p.p90}};
}

/// Every hour of the day.
std::string battery_text(const BatteryFan& fan) {
    std::string out =
        "Battery in use          charge left, per cent        lowest voltage since the hour before\n"
        "                       P10     P50     P90             P10     P50     P90\n";
    constexpr auto hour = static_cast<std::size_t>(3600 / battery_grid_step_s);
    for (std::size_t k = hour; k < fan.time_s.size() + hour - 1; k += hour) {
        const std::size_t last = std::min(k, fan.time_s.size() - 1);
        std::vector<Spread> hours(fan.lowest_v.begin() + static_cast<std::ptrdiff_t>(k - hour + 1),
                                  fan.lowest_v.begin() + static_cast<std::ptrdiff_t>(last + 1));
        const auto lowest = [&](double Percentiles::*which) {
            double v = HUGE_VAL;
            for (const Spread& s : hours)
                if (s.percentiles.*which < v) v = s.percentiles.*which;
            return v < HUGE_VAL ? fmt::format("{:8.2f}", v) : std::string("       -");
        };
        const Percentiles& charge = fan.charge_fraction[last].percentiles;
        out += fmt::format("  {:16} {:7.1f} {:7.1f} {:7.1f}        {}{}{}\n",
                           clock_minutes_text(fan.time_s[last]), 100 * charge.p10, 100 * charge.p50,
                           100 * charge.p90, lowest(&Percentiles::p10), lowest(&Percentiles::p50),
                           lowest(&Percentiles::p90));
    }
    return out;
}

}  // namespace

std::string draws_text(const DrawSummary& draws, const DayResult& day) {
    std::string out = fmt::format("{} draws of the day, seed {}\n", draws.draws, draws.seed);
    out += fmt::format("  every sweep is sent           {:5.1f} % of draws\n",
                       100 * draws.completes_probability);
    out += fmt::format("  the {} battery set(s) suffice  {:5.1f} % of draws\n", day.batteries_carried,
                       100 * draws.carried_batteries_suffice_probability);
    out += "                                     P10       P50       P90\n";
    const auto row = [&](const char* what, const Percentiles& p) {
        out += fmt::format("  {:30} {:9.4g} {:9.4g} {:9.4g}\n", what, p.p10, p.p50, p.p90);
    };
    row("usable pairs", draws.passed_count);
    row("energy, Wh", draws.energy_wh);
    row("lowest battery voltage, V", draws.lowest_battery_v);
    row("battery sets used", draws.batteries_used);
    out += fmt::format("  {:30} {:>9} {:>9} {:>9}\n", "back at base", clock_minutes_text(draws.end_s.p10),
                       clock_minutes_text(draws.end_s.p50), clock_minutes_text(draws.end_s.p90));
    out += battery_text(draws.battery);
    out += "Chance that a station and frequency is usable, per cent\n  station ";
    const std::size_t frequencies = day.frequencies_hz.size();
    for (const double f : day.frequencies_hz) out += fmt::format("{:>5.3g}", f < 1000 ? f : f / 1000);
    out += "   (Hz below 1000, else kHz)\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        out += fmt::format("  {:8.8}", day.stations[s].name);
        for (std::size_t f = 0; f < frequencies; ++f)
            out += fmt::format("{:5.0f}", 100 * draws.pairs[s * frequencies + f].usable_probability);
        out += '\n';
    }
    out += fmt::format("What matters most (rank correlation; {:.2f} is chance)\n",
                       1 / std::sqrt(static_cast<double>(draws.draws)));
    out += "                                usable pairs  lowest voltage  end of day\n";
    for (const Influence& i : draws.influences)
        out += fmt::format("  {:28} {:13.2f} {:15.2f} {:11.2f}\n", i.input, i.on_passed_count,
                           i.on_lowest_voltage, i.on_end_of_day);
    return out;
}

std::string draws_json_text(const DrawSummary& draws, const DayResult& day) {
    nlohmann::ordered_json pairs = nlohmann::ordered_json::array();
    for (const PairProbability& p : draws.pairs)
        pairs.push_back({{"station", day.stations[static_cast<std::size_t>(p.station_index)].name},
                         {"frequency_hz", day.frequencies_hz[static_cast<std::size_t>(p.frequency_index)]},
                         {"usable_probability", p.usable_probability}});
    nlohmann::ordered_json influences = nlohmann::ordered_json::array();
    for (const Influence& i : draws.influences)
        influences.push_back({{"input", i.input},
                              {"rank_correlation_usable_pairs", i.on_passed_count},
                              {"rank_correlation_lowest_voltage", i.on_lowest_voltage},
                              {"rank_correlation_end_of_day", i.on_end_of_day}});
    const nlohmann::ordered_json out{
        {"schema", "ampturn.draws"},
        {"schema_version", 1},
        {"plan_crc32", day.plan_crc32},
        {"draws", draws.draws},
        {"seed", draws.seed},
        {"completes_probability", draws.completes_probability},
        {"carried_batteries_suffice_probability", draws.carried_batteries_suffice_probability},
        {"usable_pairs", json_of(draws.passed_count)},
        {"energy_wh", json_of(draws.energy_wh)},
        {"lowest_battery_v", json_of(draws.lowest_battery_v)},
        {"battery_sets_used", json_of(draws.batteries_used)},
        {"end_s", json_of(draws.end_s)},
        {"pairs", std::move(pairs)},
        {"influences", std::move(influences)},
        {"battery", battery_fan_json(draws.battery)}};
    return out.dump(2) + "\n";
}

}  // namespace ampturn::plan
