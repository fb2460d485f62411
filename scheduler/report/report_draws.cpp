#include <fmt/format.h>

#include "embedded/report.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/report_tables.hpp"

namespace ampturn::plan {
namespace {

std::string battery_fan_table(const BatteryFan& fan) {
    HtmlTable table(fmt::format("{} draws", fan.draws), {{"time"},
                                                         {"charge % lowest", true},
                                                         {"10 %", true},
                                                         {"50 %", true},
                                                         {"90 %", true},
                                                         {"highest", true},
                                                         {"draws connected", true},
                                                         {"terminals V lowest", true},
                                                         {"10 %", true},
                                                         {"50 %", true},
                                                         {"90 %", true},
                                                         {"highest", true}});
    for (std::size_t k = 0; k < fan.time_s.size(); ++k) {
        std::vector<std::string> cells{clock_minutes_text(fan.time_s[k])};
        const auto add = [&](const Spread& s, double factor, int count) {
            for (const double value :
                 {s.lowest, s.percentiles.p10, s.percentiles.p50, s.percentiles.p90, s.highest})
                cells.push_back(decimals(factor * value, count));
        };
        add(fan.charge_fraction[k], 100, 1);
        cells.push_back(std::to_string(fan.connected[k]));
        add(fan.lowest_v[k], 1, 2);
        table.row(cells);
    }
    return collapsible("Battery over the draws as a table", table.html());
}

}  // namespace

std::string draws_html(const DayResult& day, const DrawSummary& draws) {
    HtmlTable outcomes("", {{"of the draws lie below"}, {"10 %", true}, {"50 %", true}, {"90 %", true}});
    const auto plain = [&](const char* name, const Percentiles& p, int count) {
        outcomes.row({name, decimals(p.p10, count), decimals(p.p50, count), decimals(p.p90, count)});
    };
    plain("required readings that pass", draws.passed_count, 0);
    plain("energy Wh", draws.energy_wh, 1);
    plain("lowest battery voltage V", draws.lowest_battery_v, 2);
    plain("batteries used", draws.batteries_used, 0);
    outcomes.row({"day over at", clock_minutes_text(draws.end_s.p10), clock_minutes_text(draws.end_s.p50),
                  clock_minutes_text(draws.end_s.p90)});
    std::string out = filled_template(
        embedded::report::draws(),
        {{"draws", std::to_string(draws.draws)},
         {"seed", std::to_string(draws.seed)},
         {"completes_percent", decimals(100 * draws.completes_probability, 0)},
         {"batteries_suffice_percent", decimals(100 * draws.carried_batteries_suffice_probability, 0)},
         {"outcomes", outcomes.html()}});
    out += battery_fan_table(draws.battery);
    HtmlTable influences("What matters most: rank correlation, -1 to 1", {{"uncertain input"},
                                                                          {"readings that pass", true},
                                                                          {"lowest voltage", true},
                                                                          {"end of the day", true}});
    for (const Influence& i : draws.influences)
        influences.row({i.input, decimals(i.on_passed_count, 2), decimals(i.on_lowest_voltage, 2),
                        decimals(i.on_end_of_day, 2)});
    out += influences.html();
    std::vector<HtmlTable::Column> columns{{"station"}};
    for (const double f : day.frequencies_hz) columns.push_back({frequency_text(f), true});
    HtmlTable pairs("", std::move(columns));
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        std::vector<std::string> cells{day.stations[s].name};
        cells.resize(1 + day.frequencies_hz.size(), "-");
        for (const PairProbability& p : draws.pairs) {
            const auto f = static_cast<std::size_t>(p.frequency_index);
            if (p.station_index == static_cast<int>(s) && f < day.frequencies_hz.size())
                cells[1 + f] = decimals(100 * p.usable_probability, 0);
        }
        pairs.row(cells);
    }
    return out + collapsible("Probability that a reading is usable, %", pairs.html());
}

}  // namespace ampturn::plan
