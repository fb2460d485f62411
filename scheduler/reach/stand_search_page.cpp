#include "scheduler/reach/stand_search_page.hpp"

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
#include "scheduler/reach/stand_search_output.hpp"

namespace ampturn::plan {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t rows_open = 15, rows_most = 200;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

Json place_json(const std::string& name, const Place& place) {
    return {{"name", name},
            {"x_m", json_number(place.x_m)},
            {"y_m", json_number(place.y_m)},
            {"latitude_deg", json_number(place.latitude_deg.value_or(unknown))},
            {"longitude_deg", json_number(place.longitude_deg.value_or(unknown))}};
}

Json candidates_json(const std::vector<StandCandidate>& candidates) {
    Json out = Json::array();
    for (const StandCandidate& c : candidates) {
        Json one = place_json(c.name, c.place);
        one["usable_count"] = c.usable_count;
        one["plane_count"] = c.plane_count;
        one["strong_count"] = c.strong_count;
        one["nearest_station_m"] = json_number(c.nearest_station_m);
        out.push_back(std::move(one));
    }
    return out;
}

Json search_json(const StandSearch& search) {
    Json stations = Json::array();
    for (const Station& s : search.stations) {
        Json one = place_json(s.name, s.place);
        one["stand"] = s.stand;
        stations.push_back(std::move(one));
    }
    return {{"schema", "ampturn.stand_search"},
            {"schema_version", 1},
            {"version", std::string(version())},
            {"git_hash", std::string(git_hash())},
            {"survey_name", search.survey_name},
            {"invented", search.invented},
            {"hour", search.hour},
            {"pair_count", search.pair_count},
            {"grid_step_m", search.grid_step_m > 0 ? json_number(search.grid_step_m) : Json(nullptr)},
            {"keep_out_public_m", json_number(search.keep_out_public_m)},
            {"keep_out_occupational_m", json_number(search.keep_out_occupational_m)},
            {"stations", std::move(stations)},
            {"planned", candidates_json(search.planned)},
            {"candidates", candidates_json(search.candidates)}};
}

/// Candidates [first, past) of the search, led by the plan's stands where asked.
std::string candidates_table(const StandSearch& search, bool planned, std::size_t first, std::size_t past) {
    HtmlTable table("", {{"stand"},
                         {"usable", true},
                         {"plane", true},
                         {"strong", true},
                         {"nearest station m", true},
                         {"north m", true},
                         {"east m", true},
                         {"latitude deg", true},
                         {"longitude deg", true}});
    const auto add = [&](const StandCandidate& c, const char* mark) {
        table.row({c.name + mark, std::to_string(c.usable_count), std::to_string(c.plane_count),
                   std::to_string(c.strong_count), decimals(c.nearest_station_m, 0), decimals(c.place.x_m, 0),
                   decimals(c.place.y_m, 0), decimals(c.place.latitude_deg.value_or(unknown), 6),
                   decimals(c.place.longitude_deg.value_or(unknown), 6)});
    };
    if (planned)
        for (const StandCandidate& c : search.planned) add(c, " (planned)");
    for (std::size_t i = first; i < past; ++i) add(search.candidates[i], "");
    return table.html();
}

std::string scores(const StandSearch& search) {
    const std::size_t count = search.candidates.size();
    const std::size_t open = std::min(count, rows_open);
    std::string out = candidates_table(search, true, 0, open);
    if (count > open)
        out +=
            collapsible(count > rows_most
                            ? fmt::format("The next {} of {} candidates (all of them: stand_candidates.csv)",
                                          rows_most - open, count)
                            : fmt::format("The other {} candidates", count - open),
                        candidates_table(search, false, open, std::min(count, rows_most)));
    return out;
}

std::string best_line(const StandSearch& search) {
    if (search.candidates.empty()) return "";
    const StandCandidate& best = search.candidates.front();
    std::string out = fmt::format("<p>Best: <strong>{}</strong>, {} of {} readings, nearest station {} m.",
                                  html_escaped(best.name), best.usable_count, search.pair_count,
                                  decimals(best.nearest_station_m, 0));
    for (const StandCandidate& c : search.planned)
        out += fmt::format(" {} of the plan: {}.", html_escaped(c.name), c.usable_count);
    return out + "</p>\n";
}

std::string stations_table(const StandSearch& search) {
    HtmlTable table("", {{"station"}, {"stand in the plan"}, {"north m", true}, {"east m", true}});
    for (const Station& s : search.stations)
        table.row({s.name, s.stand, decimals(s.place.x_m, 0), decimals(s.place.y_m, 0)});
    return table.html();
}

}  // namespace

std::string stand_search_json_text(const StandSearch& search) {
    return search_json(search).dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string stand_search_html(const StandSearch& search) {
    const std::string body = filled_template(
        embedded::reach_page::stands_body(),
        {{"invented", search.invented ? invented_line : ""},
         {"survey", html_escaped(search.survey_name)},
         {"reading_count", std::to_string(search.pair_count)},
         {"hour", fmt::format("{:02}", search.hour)},
         {"best", best_line(search)},
         {"keep_out_public_m", decimals(std::ceil(10 * search.keep_out_public_m) / 10, 1)},
         {"keep_out_occupational_m", decimals(std::ceil(10 * search.keep_out_occupational_m) / 10, 1)},
         {"scores", scores(search)},
         {"stations", collapsible("Stations", stations_table(search))},
         {"plain_text", collapsible("The same as plain text",
                                    "<pre>" + html_escaped(stand_search_text(search, false)) + "</pre>\n")},
         {"version", std::string(version())},
         {"git_hash", std::string(git_hash())}});
    return html_page({.title = "Stands for " + search.survey_name,
                      .body = body,
                      .data_json = search_json(search).dump(-1, ' ', false, Json::error_handler_t::replace),
                      .charts = embedded::reach_page::stands()});
}

}  // namespace ampturn::plan
