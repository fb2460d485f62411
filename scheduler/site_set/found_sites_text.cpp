#include <fmt/format.h>

#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/site_set/found_sites.hpp"

namespace ampturn::site_set {

namespace {

std::string names_text(const reach::SiteSearch& search, const BestSet& set) {
    std::string out;
    for (const std::size_t c : set.candidates) out += (out.empty() ? "" : "; ") + search.candidates[c].name;
    return out;
}

/// Readings that the stations of a site get from it.
int usable_from(const FoundSites& found, std::size_t site) {
    int sum = 0;
    for (const Served& served : found.stations)
        if (served.site == site) sum += served.usable_count;
    return sum;
}

}  // namespace

std::string site_sets_text(const reach::SiteSearch& search, const SiteSets& sets, bool colour) {
    std::string out = base::wrapped(
        fmt::format(
            "\nSets of sites, each station served by the best of the set; of {} required readings, the "
            "plan's own sites would make {} usable. No set of as many candidates makes more than the "
            "bound.",
            search.reading_count, sets.planned_score),
        100, 0);
    base::TextTable table({{"sites", base::CellSide::right},
                           {"usable", base::CellSide::right},
                           {"bound", base::CellSide::right},
                           {""},
                           {"which"}});
    for (std::size_t i = 0; i < sets.by_count.size(); ++i) {
        const BestSet& set = sets.by_count[i];
        table.row({{std::to_string(i + 1)},
                   {std::to_string(set.score)},
                   {std::to_string(set.bound)},
                   {set.proved() ? "best" : "not proved"},
                   {names_text(search, set)}});
    }
    out += table.text(100, 2, colour);
    base::TextTable served(
        {{"station"}, {"site"}, {"usable", base::CellSide::right}, {"offset m", base::CellSide::right}});
    for (const Served& s : sets.found.stations)
        served.row({{s.station->name},
                    {sets.found.sites[s.site]->name},
                    {std::to_string(s.usable_count)},
                    {base::decimals(s.offset_m, 0)}});
    out += fmt::format("\nChosen: {}\n", names_text(search, sets.by_count[sets.chosen]));
    for (std::size_t i = 0; i < sets.found.sites.size(); ++i)
        out += fmt::format("  {}: {} usable at the stations it serves, {} alone\n", sets.found.sites[i]->name,
                           usable_from(sets.found, i), sets.found.sites[i]->usable_count);
    return out + served.text(100, 2, colour);
}

std::string site_sets_json_text(const reach::SiteSearch& search, const SiteSets& sets) {
    using Json = nlohmann::ordered_json;
    Json by_count = Json::array(), sites = Json::array(), stations = Json::array();
    for (std::size_t i = 0; i < sets.by_count.size(); ++i) {
        Json names = Json::array();
        for (const std::size_t c : sets.by_count[i].candidates) names.push_back(search.candidates[c].name);
        by_count.push_back({{"at_most_count", i + 1},
                            {"usable_count", sets.by_count[i].score},
                            {"usable_count_bound", sets.by_count[i].bound},
                            {"proved", sets.by_count[i].proved()},
                            {"sites", std::move(names)}});
    }
    for (std::size_t i = 0; i < sets.found.sites.size(); ++i)
        sites.push_back({{"name", sets.found.sites[i]->name},
                         {"x_m", base::json_number(sets.found.sites[i]->place.x_m)},
                         {"y_m", base::json_number(sets.found.sites[i]->place.y_m)},
                         {"served_usable_count", usable_from(sets.found, i)},
                         {"alone_usable_count", sets.found.sites[i]->usable_count}});
    for (const Served& s : sets.found.stations)
        stations.push_back({{"name", s.station->name},
                            {"site", sets.found.sites[s.site]->name},
                            {"usable_count", s.usable_count},
                            {"offset_m", base::json_number(s.offset_m)}});
    return base::json_text(Json{{"schema", "ampturn.site_sets"},
                                {"schema_version", 1},
                                {"version", std::string(base::version())},
                                {"git_hash", std::string(base::git_hash())},
                                {"survey_name", search.survey_name},
                                {"invented", search.invented},
                                {"reading_count", search.reading_count},
                                {"planned_usable_count", sets.planned_score},
                                {"sets", std::move(by_count)},
                                {"chosen_sites", std::move(sites)},
                                {"stations", std::move(stations)}},
                           1);
}

}  // namespace ampturn::site_set
