#include <fmt/format.h>

#include "embedded/report.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/report_tables.hpp"

namespace ampturn::report {
namespace {

std::string battery_percentiles_table(const day::BatteryPercentiles& battery) {
    page::HtmlTable table(fmt::format("{} runs", battery.runs), {{"time"},
                                                                 {"charge % lowest", true},
                                                                 {"10 %", true},
                                                                 {"50 %", true},
                                                                 {"90 %", true},
                                                                 {"highest", true},
                                                                 {"runs connected", true},
                                                                 {"terminals V lowest", true},
                                                                 {"10 %", true},
                                                                 {"50 %", true},
                                                                 {"90 %", true},
                                                                 {"highest", true}});
    for (std::size_t k = 0; k < battery.time_s.size(); ++k) {
        std::vector<std::string> cells{base::clock_minutes_text(battery.time_s[k])};
        const auto add = [&](const day::Spread& s, double factor, int count) {
            for (const double value :
                 {s.lowest, s.percentiles.p10, s.percentiles.p50, s.percentiles.p90, s.highest})
                cells.push_back(base::decimals(factor * value, count));
        };
        add(battery.charge_fraction[k], 100, 1);
        cells.push_back(std::to_string(battery.connected[k]));
        add(battery.lowest_v[k], 1, 2);
        table.row(cells);
    }
    return page::collapsible("Battery over the runs as a table", table.html());
}

}  // namespace

std::string monte_carlo_html(const day::DayResult& day, const day::MonteCarloSummary& runs) {
    page::HtmlTable outcomes("", {{"of the runs lie below"}, {"10 %", true}, {"50 %", true}, {"90 %", true}});
    const auto plain = [&](const char* name, const day::Percentiles& p, int count) {
        outcomes.row(
            {name, base::decimals(p.p10, count), base::decimals(p.p50, count), base::decimals(p.p90, count)});
    };
    plain("required readings that pass", runs.passed_count, 0);
    plain("energy Wh", runs.energy_wh, 1);
    plain("lowest battery voltage V", runs.lowest_battery_v, 2);
    plain("batteries used", runs.batteries_used, 0);
    outcomes.row({"day over at", base::clock_minutes_text(runs.end_s.p10),
                  base::clock_minutes_text(runs.end_s.p50), base::clock_minutes_text(runs.end_s.p90)});
    std::string out = base::filled_template(
        embedded::report::monte_carlo(),
        {{"runs", std::to_string(runs.runs)},
         {"seed", std::to_string(runs.seed)},
         {"completes_percent", base::decimals(100 * runs.completes_probability, 0)},
         {"batteries_suffice_percent", base::decimals(100 * runs.carried_batteries_suffice_probability, 0)},
         {"outcomes", outcomes.html()}});
    out += battery_percentiles_table(runs.battery);
    page::HtmlTable influences("What matters most: rank correlation, -1 to 1", {{"uncertain input"},
                                                                                {"readings that pass", true},
                                                                                {"lowest voltage", true},
                                                                                {"end of the day", true}});
    for (const day::Influence& i : runs.influences)
        influences.row({i.input, base::decimals(i.on_passed_count, 2), base::decimals(i.on_lowest_voltage, 2),
                        base::decimals(i.on_end_of_day, 2)});
    out += influences.html();
    std::vector<page::HtmlTable::Column> columns{{"station"}};
    for (const double f : day.frequencies_hz) columns.push_back({base::frequency_text(f), true});
    page::HtmlTable readings("", std::move(columns));
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        std::vector<std::string> cells{day.stations[s].name};
        cells.resize(1 + day.frequencies_hz.size(), "-");
        for (const day::ReadingProbability& p : runs.readings) {
            const auto f = static_cast<std::size_t>(p.frequency_index);
            if (p.station_index == static_cast<int>(s) && f < day.frequencies_hz.size())
                cells[1 + f] = base::decimals(100 * p.usable_probability, 0);
        }
        readings.row(cells);
    }
    return out + page::collapsible("Probability that a reading is usable, %", readings.html());
}

}  // namespace ampturn::report
