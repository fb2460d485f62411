#include "scheduler/reach/site_search_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "embedded/reach_page.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/reach/site_search_output.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::reach {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t rows_open = 15, rows_most = 200;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

Json place_json(const std::string& name, const plan::Place& place) {
    return {{"name", name},
            {"x_m", base::json_number(place.x_m)},
            {"y_m", base::json_number(place.y_m)},
            {"latitude_deg", base::json_number(place.latitude_deg.value_or(unknown))},
            {"longitude_deg", base::json_number(place.longitude_deg.value_or(unknown))}};
}

Json candidates_json(const std::vector<SiteCandidate>& candidates) {
    Json out = Json::array();
    for (const SiteCandidate& c : candidates) {
        Json one = place_json(c.name, c.place);
        one["usable_count"] = c.usable_count;
        one["far_field_count"] = c.far_field_count;
        one["sufficient_snr_count"] = c.sufficient_snr_count;
        one["nearest_station_m"] = base::json_number(c.nearest_station_m);
        out.push_back(std::move(one));
    }
    return out;
}

Json search_json(const SiteSearch& search) {
    Json stations = Json::array();
    for (const plan::Station& s : search.stations) {
        Json one = place_json(s.name, s.place);
        one["site"] = s.site;
        stations.push_back(std::move(one));
    }
    return {{"schema", "ampturn.site_search"},
            {"schema_version", 1},
            {"version", std::string(base::version())},
            {"git_hash", std::string(base::git_hash())},
            {"survey_name", search.survey_name},
            {"invented", search.invented},
            {"hour", search.hour},
            {"reading_count", search.reading_count},
            {"grid_step_m", search.grid_step_m > 0 ? base::json_number(search.grid_step_m) : Json(nullptr)},
            {"keep_out_public_m", base::json_number(search.keep_out_public_m)},
            {"keep_out_occupational_m", base::json_number(search.keep_out_occupational_m)},
            {"stations", std::move(stations)},
            {"planned", candidates_json(search.planned)},
            {"candidates", candidates_json(search.candidates)}};
}

/// Candidates [first, past) of the search, led by the plan's sites where asked.
std::string candidates_table(const SiteSearch& search, bool planned, std::size_t first, std::size_t past) {
    page::HtmlTable table("", {{"site"},
                               {"usable", true},
                               {"far field", true},
                               {"enough signal", true},
                               {"nearest station m", true},
                               {"north m", true},
                               {"east m", true},
                               {"latitude deg", true},
                               {"longitude deg", true}});
    const auto add = [&](const SiteCandidate& c, const char* mark) {
        table.row({c.name + mark, std::to_string(c.usable_count), std::to_string(c.far_field_count),
                   std::to_string(c.sufficient_snr_count), base::decimals(c.nearest_station_m, 0),
                   base::decimals(c.place.x_m, 0), base::decimals(c.place.y_m, 0),
                   base::decimals(c.place.latitude_deg.value_or(unknown), 6),
                   base::decimals(c.place.longitude_deg.value_or(unknown), 6)});
    };
    if (planned)
        for (const SiteCandidate& c : search.planned) add(c, " (planned)");
    for (std::size_t i = first; i < past; ++i) add(search.candidates[i], "");
    return table.html();
}

std::string scores(const SiteSearch& search) {
    const std::size_t count = search.candidates.size();
    const std::size_t open = std::min(count, rows_open);
    std::string out = candidates_table(search, true, 0, open);
    if (count > open)
        out += page::collapsible(
            count > rows_most ? fmt::format("The next {} of {} candidates (all of them: site_candidates.csv)",
                                            rows_most - open, count)
                              : fmt::format("The other {} candidates", count - open),
            candidates_table(search, false, open, std::min(count, rows_most)));
    return out;
}

std::string best_line(const SiteSearch& search) {
    if (search.candidates.empty()) return "";
    const SiteCandidate& best = search.candidates.front();
    std::string out = fmt::format("<p>Best: <strong>{}</strong>, {} of {} readings, nearest station {} m.",
                                  page::html_escaped(best.name), best.usable_count, search.reading_count,
                                  base::decimals(best.nearest_station_m, 0));
    for (const SiteCandidate& c : search.planned)
        out += fmt::format(" {} of the plan: {}.", page::html_escaped(c.name), c.usable_count);
    return out + "</p>\n";
}

std::string stations_table(const SiteSearch& search) {
    page::HtmlTable table("", {{"station"}, {"site in the plan"}, {"north m", true}, {"east m", true}});
    for (const plan::Station& s : search.stations)
        table.row({s.name, s.site, base::decimals(s.place.x_m, 0), base::decimals(s.place.y_m, 0)});
    return table.html();
}

}  // namespace

std::string site_search_json_text(const SiteSearch& search) {
    return base::json_text(search_json(search), 1);
}

std::string site_search_html(const SiteSearch& search) {
    const std::string body = base::filled_template(
        embedded::reach_page::sites_body(),
        {{"invented", search.invented ? page::invented_line : ""},
         {"survey", page::html_escaped(search.survey_name)},
         {"reading_count", std::to_string(search.reading_count)},
         {"hour", fmt::format("{:02}", search.hour)},
         {"best", best_line(search)},
         {"keep_out_public_m", setup::safety_figure_text(search.keep_out_public_m)},
         {"keep_out_occupational_m", setup::safety_figure_text(search.keep_out_occupational_m)},
         {"scores", scores(search)},
         {"stations", page::collapsible("Stations", stations_table(search))},
         {"plain_text",
          page::collapsible("The same as plain text",
                            "<pre>" + page::html_escaped(site_search_text(search, false)) + "</pre>\n")},
         {"version", std::string(base::version())},
         {"git_hash", std::string(base::git_hash())}});
    return page::html_page({.title = "Sites for " + search.survey_name,
                            .body = body,
                            .data_json = base::json_text(search_json(search), -1),
                            .charts = embedded::reach_page::sites()});
}

}  // namespace ampturn::reach
