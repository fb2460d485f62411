#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <nlohmann/json.hpp>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/survey_days/survey_output.hpp"

namespace ampturn::survey_days {

namespace {

using json = nlohmann::ordered_json;

json names_json(const plan::Plan& plan, const std::vector<int>& stations) {
    json out = json::array();
    for (const int s : stations) out.push_back(plan.stations[static_cast<std::size_t>(s)].name);
    return out;
}

json percentiles_json(const day::Percentiles& p) { return {{"p10", p.p10}, {"p50", p.p50}, {"p90", p.p90}}; }

json night_json(const Night& night) {
    json sets = json::array();
    for (const SetNight& set : night.sets)
        sets.push_back({{"evening_fraction", set.evening},
                        {"morning_fraction", set.morning},
                        {"terminals_wh", set.terminals_wh},
                        {"on_charger_h", set.on_charger_h}});
    return {{"hours", night.hours},         {"waited_to_warm_h", night.waited_h},
            {"supply_wh", night.supply_wh}, {"most_supply_w", night.most_supply_w},
            {"changes", night.changes},     {"supply_spent", night.supply_spent},
            {"all_full", night.all_full},   {"sets", std::move(sets)}};
}

json day_json(const SurveyOutput& output, std::size_t k) {
    const SurveyedDay& day = output.survey.days[k];
    const bool is_last = k + 1 == output.survey.days.size();
    json nights = json::array();
    for (const Night& night : day.nights) nights.push_back(night_json(night));
    return {{"date", base::date_text(day.date)},
            {"folder", day.stations.empty() ? json(nullptr) : json(folder_of(day))},
            {"start_s", day.start_s},
            {"end_s", day.end_s},
            {"own_stations", day.own_stations},
            {"stations", names_json(output.plan, day.stations)},
            {"done", names_json(output.plan, day.done)},
            {"open_after", day.open_after},
            {"back_s", day.back_s ? json(*day.back_s) : json(nullptr)},
            {"person_hours", day.person_hours},
            {"energy_wh", day.energy_wh},
            {"readings_passed", day.passed_count},
            {"readings_required", day.required_count},
            {"battery_short", day.battery_short},
            {"morning_fraction", day.morning},
            {"evening_fraction", day.evening},
            {"next_need_met", is_last ? json(nullptr) : json(next_need_met(output.survey, k))},
            {"nights", std::move(nights)}};
}

json chances_json(const Chances& chances) {
    json days = json::array();
    for (const DayChance& day : chances.days)
        days.push_back({{"stations_done", percentiles_json(day.stations_done)},
                        {"worked_draws", day.worked},
                        {"back_s", day.back_s ? percentiles_json(*day.back_s) : json(nullptr)},
                        {"finished_draws", day.finished},
                        {"battery_short_draws", day.battery_short}});
    return {{"draws", chances.draws},
            {"seed", chances.seed},
            {"days", std::move(days)},
            {"open_at_end", percentiles_json(chances.open_at_end)}};
}

std::string survey_json(const SurveyOutput& output) {
    const Survey& survey = output.survey;
    json days = json::array(), stations = json::array();
    for (std::size_t k = 0; k < survey.days.size(); ++k) days.push_back(day_json(output, k));
    for (std::size_t s = 0; s < output.plan.stations.size(); ++s)
        stations.push_back(
            {{"name", output.plan.stations[s].name},
             {"site", output.plan.stations[s].site},
             {"done_on",
              survey.done_on[s]
                  ? json(base::date_text(survey.days[static_cast<std::size_t>(*survey.done_on[s])].date))
                  : json(nullptr)}});
    json out{{"schema", "ampturn.days"},
             {"schema_version", 1},
             {"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
             {"plan_path", output.plan.source.path},
             {"plan_crc32", base::crc32_text(output.plan.source.crc32)},
             {"survey_name", output.plan.survey.name},
             {"invented", output.plan.survey.invented},
             {"findings", findings_of(output)},
             {"days", std::move(days)},
             {"stations", std::move(stations)},
             {"open", names_json(output.plan, survey.open)},
             {"more_days", survey.more ? json{{"days", survey.more->days}, {"finish", survey.more->finish}}
                                       : json(nullptr)}};
    if (output.chances != nullptr) out["chances"] = chances_json(*output.chances);
    out["cautions"] = charging_cautions(output.plan);
    return base::json_text(std::move(out), 2);
}

std::string days_csv(const SurveyOutput& output) {
    base::CsvTable table({"day", "date", "start_s", "end_s", "own_stations", "stations", "done", "open_after",
                          "back_s", "person_hours", "energy_wh", "readings_passed", "readings_required",
                          "battery_short", "least_morning_fraction", "least_evening_fraction", "supply_wh",
                          "next_need_met"});
    for (std::size_t k = 0; k < output.survey.days.size(); ++k) {
        const SurveyedDay& day = output.survey.days[k];
        table.cell(static_cast<int>(k + 1)).cell(base::date_text(day.date)).cell(day.start_s).cell(day.end_s);
        table.cell(day.own_stations).cell(std::uint64_t{day.stations.size()});
        table.cell(std::uint64_t{day.done.size()}).cell(day.open_after);
        day.back_s ? table.cell(*day.back_s) : table.cell("");
        table.cell(day.person_hours).cell(day.energy_wh).cell(day.passed_count).cell(day.required_count);
        table.cell(day.battery_short).cell(*std::min_element(day.morning.begin(), day.morning.end()));
        table.cell(*std::min_element(day.evening.begin(), day.evening.end())).cell(supply_wh(day));
        k + 1 < output.survey.days.size() ? table.cell(next_need_met(output.survey, k)) : table.cell("");
        table.end_row();
    }
    return table.text();
}

std::string stations_csv(const SurveyOutput& output) {
    base::CsvTable table({"station", "site", "done_on"});
    for (std::size_t s = 0; s < output.plan.stations.size(); ++s) {
        const std::optional<int> done = output.survey.done_on[s];
        table.cell(output.plan.stations[s].name)
            .cell(output.plan.stations[s].site)
            .cell(done ? base::date_text(output.survey.days[static_cast<std::size_t>(*done)].date)
                       : std::string());
        table.end_row();
    }
    return table.text();
}

std::string nights_csv(const SurveyOutput& output) {
    base::CsvTable table(
        {"after", "night", "set", "evening_fraction", "morning_fraction", "terminals_wh", "on_charger_h"});
    for (const SurveyedDay& day : output.survey.days)
        for (std::size_t night = 0; night < day.nights.size(); ++night)
            for (std::size_t i = 0; i < day.nights[night].sets.size(); ++i) {
                const SetNight& set = day.nights[night].sets[i];
                table.cell(base::date_text(day.date)).cell(static_cast<int>(night + 1));
                table.cell(static_cast<int>(i + 1)).cell(set.evening).cell(set.morning);
                table.cell(set.terminals_wh).cell(set.on_charger_h);
                table.end_row();
            }
    return table.text();
}

std::string chances_csv(const SurveyOutput& output) {
    base::CsvTable table({"day", "date", "draws", "finished_draws", "stations_done_p10", "stations_done_p50",
                          "stations_done_p90", "worked_draws", "back_s_p10", "back_s_p50", "back_s_p90",
                          "battery_short_draws"});
    for (std::size_t k = 0; k < output.chances->days.size(); ++k) {
        const DayChance& day = output.chances->days[k];
        table.cell(static_cast<int>(k + 1)).cell(base::date_text(output.survey.days[k].date));
        table.cell(output.chances->draws).cell(day.finished);
        table.cell(day.stations_done.p10).cell(day.stations_done.p50).cell(day.stations_done.p90);
        table.cell(day.worked);
        for (const double day::Percentiles::*p :
             {&day::Percentiles::p10, &day::Percentiles::p50, &day::Percentiles::p90})
            day.back_s ? table.cell(*day.back_s.*p) : table.cell("");
        table.cell(day.battery_short);
        table.end_row();
    }
    return table.text();
}

}  // namespace

std::vector<base::NamedText> survey_files(const SurveyOutput& output) {
    std::vector<base::NamedText> out{{"days.json", survey_json(output)},
                                     {"days.csv", days_csv(output)},
                                     {"stations.csv", stations_csv(output)},
                                     {"nights.csv", nights_csv(output)}};
    if (output.chances != nullptr) out.push_back({"chances.csv", chances_csv(output)});
    out.push_back({"days.html", survey_page(output)});
    return out;
}

}  // namespace ampturn::survey_days
