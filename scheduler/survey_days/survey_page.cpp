#include <fmt/format.h>

#include <chrono>
#include <cstddef>

#include "embedded/days_page.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/survey_days/survey_output.hpp"

namespace ampturn::survey_days {

namespace {

const char* weekday_of(std::chrono::year_month_day date) {
    constexpr const char* names[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
    return names[std::chrono::weekday(date).c_encoding()];
}

std::string dated(const SurveyedDay& day) {
    return fmt::format("{} {}", weekday_of(day.date), base::date_text(day.date));
}

/// A row a day, which leads to the day's own report and sheet.
std::string calendar(const SurveyOutput& output) {
    std::string rows;
    for (std::size_t k = 0; k < output.survey.days.size(); ++k) {
        const SurveyedDay& day = output.survey.days[k];
        const std::string folder = folder_of(day);
        const std::string work =
            day.stations.empty()
                ? std::string(day.offered == 0 ? "nothing left to do" : "no station can be begun")
                : page::html_escaped(names_text(output.plan, day.stations, day.stations.size()));
        const std::string files =
            day.stations.empty()
                ? std::string()
                : fmt::format(
                      "<br><a href=\"{0}/report.html\">report</a> <a href=\"{0}/field_sheet.html\">sheet</a> "
                      "<a href=\"{0}/day.ics\">calendar file</a>",
                      folder);
        rows += fmt::format(
            "<tr{}><td class=\"n\">{}</td><td>{}{}</td><td>{}</td><td>{}</td><td class=\"n\">{} of {}</td>"
            "<td class=\"n\">{}</td><td class=\"n\">{} of {}</td><td>{}</td></tr>\n",
            day.battery_short || day.done.size() < day.stations.size() ? " class=\"stopped\"" : "", k + 1,
            dated(day), files,
            fmt::format("{} to {}", base::clock_minutes_text(day.start_s),
                        base::clock_minutes_text(day.end_s)),
            day.back_s ? base::clock_text(*day.back_s) : "-", day.done.size(), day.stations.size(),
            day.open_after, day.passed_count, day.required_count, work);
    }
    return "<div class=\"scroll\"><table><caption>What each day does</caption><thead><tr><th class=\"n\">day</th>"
           "<th>date and files</th><th>planned</th><th>back</th><th class=\"n\">stations done</th><th class=\"n\">open after"
           "</th><th class=\"n\">readings pass</th><th>stations</th></tr></thead><tbody>\n" +
           rows + "</tbody></table></div>\n";
}

std::string batteries(const SurveyOutput& output) {
    std::vector<page::HtmlTable::Column> columns{{"date"}};
    for (int set = 1; set <= output.plan.battery.sets_carried; ++set)
        columns.push_back({fmt::format("set {}", set), true});
    for (const char* header : {"supply Wh", "most W", "sets changed over", "enough for the next day"})
        columns.push_back({header, true});
    page::HtmlTable table("Morning to evening", std::move(columns));
    for (std::size_t k = 0; k < output.survey.days.size(); ++k) {
        const SurveyedDay& day = output.survey.days[k];
        std::vector<std::string> cells{dated(day)};
        for (std::size_t set = 0; set < day.morning.size(); ++set)
            cells.push_back(
                fmt::format("{} to {}", percent_text(day.morning[set]), percent_text(day.evening[set])));
        double most_w = 0;
        int changes = 0;
        for (const Night& night : day.nights) {
            most_w = std::max(most_w, night.most_supply_w);
            changes += night.changes;
        }
        const bool is_last = k + 1 == output.survey.days.size(), charged = !day.nights.empty();
        cells.push_back(charged ? base::decimals(supply_wh(day), 0) : "-");
        cells.push_back(charged ? base::decimals(most_w, 0) : "-");
        cells.push_back(charged ? std::to_string(changes) : "-");
        cells.push_back(is_last ? "-" : next_need_met(output.survey, k) ? "yes" : "no");
        table.row(cells);
    }
    return table.html();
}

std::string stations(const SurveyOutput& output) {
    page::HtmlTable table("When each station is done", {{"station"}, {"site"}, {"done on"}});
    for (std::size_t s = 0; s < output.plan.stations.size(); ++s) {
        const std::optional<int> done = output.survey.done_on[s];
        table.row({output.plan.stations[s].name, output.plan.stations[s].site,
                   done ? base::date_text(output.survey.days[static_cast<std::size_t>(*done)].date) : "open"},
                  done ? "" : "stopped");
    }
    return table.html();
}

}  // namespace

std::string survey_page(const SurveyOutput& output) {
    const plan::Plan& plan = output.plan;
    const std::vector<std::string> cautions = charging_cautions(plan);
    return page::html_page(
        {.title = "Days: " + plan.survey.name,
         .body = base::filled_template(
             embedded::days_page::days(),
             {{"survey", page::html_escaped(plan.survey.name)},
              {"count", std::to_string(output.survey.days.size())},
              {"invented", plan.survey.invented ? page::invented_line : ""},
              {"plan", page::html_escaped(plan.source.path)},
              {"crc", base::crc32_text(plan.source.crc32)},
              {"findings", page::list_items(findings_of(output))},
              {"calendar", calendar(output)},
              {"batteries", batteries(output)},
              {"chances", output.chances != nullptr ? fmt::format("<h2>How sure it is</h2>\n<ul>\n{}</ul>\n",
                                                                  page::list_items(chance_lines(
                                                                      *output.chances, output.survey.days)))
                                                    : std::string()},
              {"stations", stations(output)},
              {"cautions",
               cautions.empty()
                   ? std::string()
                   : fmt::format("<h2>Cautions for charging</h2>\n<div class=\"keep\"><ul>\n{}</ul></div>\n",
                                 page::list_items(cautions))},
              {"version", page::html_escaped(base::version())},
              {"git_hash", page::html_escaped(base::git_hash())}}),
         .data_json = "{}",
         .charts = ""});
}

}  // namespace ampturn::survey_days
