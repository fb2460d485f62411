#include <fmt/format.h>

#include "scheduler/plan/day_names.hpp"
#include "scheduler/plan/html.hpp"
#include "scheduler/plan/number_text.hpp"
#include "scheduler/plan/report_tables.hpp"

namespace ampturn::plan {

std::string draws_html(const DayResult& day, const DrawSummary& draws) {
    std::string out = fmt::format(
        "<p>The day run {} times (seed {}) with what is not known exactly drawn anew. It completes in {} % "
        "of the draws; the "
        "batteries carried last in {} %.</p>\n",
        draws.draws, draws.seed, decimals(100 * draws.completes_probability, 0),
        decimals(100 * draws.carried_batteries_suffice_probability, 0));
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
    out += outcomes.html();
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
