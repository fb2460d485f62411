#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/survey_days/survey_output.hpp"

namespace ampturn::survey_days {

namespace {

constexpr std::size_t page_width = 100, names_most = 12;

std::string dates_text(const std::vector<std::string>& dates) {
    const auto shown = static_cast<std::ptrdiff_t>(std::min(dates.size(), names_most));
    return fmt::format("{}{}", fmt::join(dates.begin(), dates.begin() + shown, ", "),
                       dates.size() > names_most ? fmt::format(" and {} more days", dates.size() - names_most)
                                                 : std::string());
}

std::string more_days_text(const MoreDays& more, std::size_t open) {
    if (more.finish)
        return fmt::format("{} more {} like the last would finish {} (tried)", more.days,
                           more.days == 1 ? "day" : "days", open == 1 ? "it" : "them");
    return fmt::format("days like the last do not finish: {} of them tried, the last one got no further",
                       more.days);
}

std::string open_finding(const SurveyOutput& output) {
    const Survey& survey = output.survey;
    if (!survey.open.empty())
        return fmt::format("{} of {} stations are open after the last day: {}; {}.", survey.open.size(),
                           output.plan.stations.size(), names_text(output.plan, survey.open, names_most),
                           more_days_text(*survey.more, survey.open.size()));
    const auto last = std::find_if(survey.days.begin(), survey.days.end(),
                                   [](const SurveyedDay& day) { return day.open_after == 0; });
    return fmt::format("All {} stations are done on {}, day {} of {}.", output.plan.stations.size(),
                       base::date_text(last->date), last - survey.days.begin() + 1, survey.days.size());
}

/// Adds the text with the dates of the days, by their index, for which something holds; nothing where it holds for none.
template <class Holds>
void add_dates(const Survey& survey, const char* text, Holds&& holds, std::vector<std::string>& out) {
    std::vector<std::string> dates;
    for (std::size_t k = 0; k < survey.days.size(); ++k)
        if (holds(k)) dates.push_back(base::date_text(survey.days[k].date));
    if (!dates.empty()) out.push_back(fmt::format("{}: {}.", text, dates_text(dates)));
}

void add_night_findings(const SurveyOutput& output, std::vector<std::string>& out) {
    const Survey& survey = output.survey;
    const auto add = [&](const char* text, auto&& holds) { add_dates(survey, text, holds, out); };
    const auto any_night = [&](std::size_t k, auto&& holds) {
        return std::any_of(survey.days[k].nights.begin(), survey.days[k].nights.end(), holds);
    };
    add("Batteries are not all full in the morning after", [&](std::size_t k) {
        return !survey.days[k].nights.empty() && !survey.days[k].nights.back().all_full;
    });
    add("The supply's watt-hours are used up in the night after",
        [&](std::size_t k) { return any_night(k, [](const Night& n) { return n.supply_spent; }); });
    add("Somebody has to put a charger on to another set in the night after",
        [&](std::size_t k) { return any_night(k, [](const Night& n) { return n.changes > 0; }); });
    add("Batteries come in below 0 C and are not charged before they have warmed in the night after",
        [&](std::size_t k) {
            return any_night(
                k, [](const Night& n) { return n.waited_h > 0 && (n.supply_wh > 0 || !n.all_full); });
        });
    add("The next day starts before charging.hours are over and batteries are full in the night after",
        [&](std::size_t k) {
            return any_night(
                k, [&](const Night& n) { return n.hours < output.plan.charging->hours && !n.all_full; });
        });
}

base::TextTable day_table(const SurveyOutput& output) {
    base::TextTable table({{"day"},
                           {"date"},
                           {"from"},
                           {"back"},
                           {"done", base::CellSide::right},
                           {"open", base::CellSide::right},
                           {"readings", base::CellSide::right},
                           {"least charge", base::CellSide::right},
                           {"supply Wh", base::CellSide::right},
                           {"stations"}});
    for (std::size_t k = 0; k < output.survey.days.size(); ++k) {
        const SurveyedDay& day = output.survey.days[k];
        const double morning = *std::min_element(day.morning.begin(), day.morning.end()),
                     evening = *std::min_element(day.evening.begin(), day.evening.end());
        table.row({{std::to_string(k + 1)},
                   {base::date_text(day.date)},
                   {base::clock_minutes_text(day.start_s)},
                   {day.back_s ? base::clock_text(*day.back_s) : "-"},
                   {fmt::format("{} of {}", day.done.size(), day.stations.size())},
                   {std::to_string(day.open_after)},
                   {fmt::format("{}/{}", day.passed_count, day.required_count)},
                   {fmt::format("{} > {}", percent_text(morning), percent_text(evening))},
                   {day.nights.empty() ? "-" : base::decimals(supply_wh(day), 0)},
                   {names_text(output.plan, day.stations, names_most)}});
    }
    return table;
}

}  // namespace

std::string names_text(const plan::Plan& plan, const std::vector<int>& stations, std::size_t most) {
    std::string out;
    for (std::size_t i = 0; i < std::min(stations.size(), most); ++i)
        out += (i > 0 ? ", " : "") + plan.stations[static_cast<std::size_t>(stations[i])].name;
    if (stations.size() > most) out += fmt::format(" and {} more", stations.size() - most);
    return out;
}

std::string folder_of(const SurveyedDay& day) { return base::date_text(day.date); }

bool next_need_met(const Survey& survey, std::size_t day) { return !survey.days.at(day + 1).battery_short; }

double supply_wh(const SurveyedDay& day) {
    double out = 0;
    for (const Night& night : day.nights) out += night.supply_wh;
    return out;
}

std::string percent_text(double state_of_charge) {
    return fmt::format("{:.0f} %", std::floor(100 * state_of_charge));
}

std::vector<std::string> findings_of(const SurveyOutput& output) {
    const Survey& survey = output.survey;
    std::vector<std::string> out{open_finding(output)};
    const auto add = [&](const char* text, auto&& holds) { add_dates(survey, text, holds, out); };
    add("The batteries give out before the stations or the time do on",
        [&](std::size_t k) { return survey.days[k].battery_short; });
    add("Stations are gone to and not sent whole on",
        [&](std::size_t k) { return survey.days[k].done.size() < survey.days[k].stations.size(); });
    add("No open station can be begun on",
        [&](std::size_t k) { return survey.days[k].stations.empty() && survey.days[k].offered > 0; });
    add("Nothing is left to do that no later day names on",
        [&](std::size_t k) { return survey.days[k].offered == 0; });
    if (!output.plan.charging)
        out.emplace_back("The batteries are not charged between the days: the plan has no [charging].");
    add_night_findings(output, out);
    return out;
}

std::vector<std::string> charging_cautions(const plan::Plan& plan) {
    std::vector<std::string> out;
    if (!plan.charging) return out;
    const bool lithium = plan.battery.chemistry == plan::Chemistry::lifepo4;
    out.emplace_back(
        lithium
            ? "Charging: lithium cells with a charger made for them and their own protection in circuit; never "
              "unattended where a fire would not be noticed, nor beside anything that burns."
            : "Charging: lead-acid batteries give off hydrogen, which explodes. Charge them where air passes "
              "through, not in a closed vehicle or where people sleep; no flame, no spark; switch the charger off "
              "before clips go on or off.");
    out.emplace_back(
        "No charging below 0 C: the battery's own temperature counts, not the room's. A battery that is cold, swollen, "
        "leaking or was frozen is not charged.");
    if (plan.charging->supply == plan::ChargingSupply::generator)
        out.emplace_back(
            "Generator: out of doors, its exhaust away from windows and tents: carbon monoxide kills unnoticed. Refuel "
            "it cold.");
    if (plan.charging->supply == plan::ChargingSupply::vehicle)
        out.emplace_back(
            "Vehicle: what is taken must leave enough to start it. An engine that runs for charging stands out of "
            "doors: carbon monoxide kills unnoticed.");
    out.emplace_back(
        "How much and how fast a battery may be charged is for its maker to say, and where, for local rules: the "
        "figures here are common practice without a source, and a planning aid.");
    return out;
}

std::vector<std::string> chance_lines(const Chances& chances, const std::vector<SurveyedDay>& days) {
    std::vector<std::string> out{
        fmt::format("{} draws of the whole survey, seed {}: what is not known exactly is drawn anew in each.",
                    chances.draws, chances.seed)};
    for (std::size_t k = 0; k < chances.days.size(); ++k) {
        const DayChance& day = chances.days[k];
        const auto& [p10, p50, p90] = day.stations_done;
        std::string line = fmt::format(
            "By day {} ({}) everything is finished in {} of {} draws; stations done that day, P10/P50/P90: {}/{}/{}",
            k + 1, base::date_text(days[k].date), day.finished, chances.draws, base::brief(p10, 3),
            base::brief(p50, 3), base::brief(p90, 3));
        if (day.back_s)
            line += fmt::format("; back at {}/{}/{} in the {} draws that work on it",
                                base::clock_minutes_text(day.back_s->p10),
                                base::clock_minutes_text(day.back_s->p50),
                                base::clock_minutes_text(day.back_s->p90), day.worked);
        if (day.battery_short > 0) line += fmt::format("; batteries give out in {}", day.battery_short);
        out.push_back(line + ".");
    }
    return out;
}

std::string survey_text(const SurveyOutput& output, bool summary) {
    const plan::Plan& plan = output.plan;
    std::string out = fmt::format("{}{}, {} days from {} to {}\n", plan.survey.name,
                                  plan.survey.invented ? " (INVENTED SCENARIO)" : "",
                                  output.survey.days.size(), base::date_text(output.survey.days.front().date),
                                  base::date_text(output.survey.days.back().date));
    int number = 0;
    for (const std::string& finding : findings_of(output))
        out += base::wrapped_item(fmt::format("{}. ", ++number), finding, page_width, 2);
    if (!summary) out += "\n" + day_table(output).text(page_width, 2, false);
    if (output.chances != nullptr) {
        out += "\n";
        for (const std::string& line : chance_lines(*output.chances, output.survey.days))
            out += base::wrapped_item("- ", line, page_width, 2);
    }
    if (summary) return out;
    out += "\n";
    for (const std::string& caution : charging_cautions(plan))
        out += base::wrapped_item("! ", caution, page_width, 2);
    return out;
}

}  // namespace ampturn::survey_days
