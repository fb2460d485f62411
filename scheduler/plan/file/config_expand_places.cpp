#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::plan::file {

namespace {

// How a place is given. Two halves of one way are needed, and no second way.
enum class Way { geographic, local, polar, none, mixed };

struct Given {
    bool latitude, longitude, x, y, offset, bearing;
};

Way way_of(const Given& given) {
    const bool geographic = given.latitude || given.longitude;
    const bool local = given.x || given.y;
    const bool polar = given.offset || given.bearing;
    if (static_cast<int>(geographic) + static_cast<int>(local) + static_cast<int>(polar) > 1)
        return Way::mixed;
    if (geographic) return given.latitude && given.longitude ? Way::geographic : Way::none;
    if (local) return given.x && given.y ? Way::local : Way::none;
    return given.offset && given.bearing ? Way::polar : Way::none;
}

template <class Named>
void check_names(const std::vector<Named>& entries, const std::string& key, Refusals& refusals) {
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const std::string name_key = fmt::format("{}[{}].name", key, i + 1);
        if (entries[i].name.empty() || entries[i].name == "base")
            refusals.add(name_key, fmt::format("\"{}\"", entries[i].name), "a name other than \"base\"");
    }
    check_names_once(entries, key, refusals);
}

constexpr const char* site_ways = "latitude_deg and longitude_deg, or x_m and y_m";
constexpr const char* station_ways =
    "latitude_deg and longitude_deg, or x_m and y_m, or offset_m and bearing_deg";

const char* found_way(Way way) { return way == Way::mixed ? "two ways at once" : "half a position or none"; }

}  // namespace

std::vector<Site> expand_sites(const std::vector<SiteInput>& input, Refusals& refusals) {
    check_names(input, "site", refusals);
    std::vector<Site> sites;
    Way way_of_all = Way::none;
    for (std::size_t i = 0; i < input.size(); ++i) {
        const SiteInput& given = input[i];
        const std::string key = fmt::format("site[{}]", i + 1);
        const Way way = way_of({given.latitude_deg.has_value(), given.longitude_deg.has_value(),
                                given.x_m.has_value(), given.y_m.has_value(), false, false});
        if (way == Way::none || way == Way::mixed)
            refusals.add(key, found_way(way), site_ways);
        else if (way_of_all == Way::none)
            way_of_all = way;
        else if (way != way_of_all)
            refusals.add(key, "another kind of position than the site before", "the same kind for all sites");
        Site site{.name = given.name,
                  .place = {.x_m = given.x_m.value_or(0),
                            .y_m = given.y_m.value_or(0),
                            .latitude_deg = given.latitude_deg,
                            .longitude_deg = given.longitude_deg},
                  .loop_a_azimuth_deg = given.loop_a_azimuth_deg,
                  .loop_b_azimuth_deg = given.loop_b_azimuth_deg};
        if (way == Way::geographic) project(site.place, sites.empty() ? site.place : sites.front().place);
        sites.push_back(std::move(site));
    }
    return sites;
}

std::vector<ReceiverCrew> expand_receiver_crews(const std::vector<ReceiverCrew>& input, Refusals& refusals) {
    check_names_once(input, "receiver_crew", refusals);
    for (std::size_t i = 0; i < input.size(); ++i)
        if (input[i].name.empty())
            refusals.add(fmt::format("receiver_crew[{}].name", i + 1), "\"\"", "a name");
    return input;
}

std::vector<Station> expand_stations(const std::vector<StationInput>& input, const std::vector<Site>& sites,
                                     Refusals& refusals) {
    check_names(input, "station", refusals);
    const std::vector<std::string> site_names = names_of(sites);
    std::vector<Station> stations;
    for (std::size_t i = 0; i < input.size(); ++i) {
        const StationInput& given = input[i];
        const std::string key = fmt::format("station[{}]", i + 1);
        if (std::find(site_names.begin(), site_names.end(), given.name) != site_names.end())
            refusals.add(key + ".name", fmt::format("\"{}\", the name of a site", given.name),
                         "each name once among sites and stations");
        Station station{.name = given.name,
                        .site = given.site.empty() ? site_names.front() : given.site,
                        .place = {.x_m = given.x_m.value_or(0),
                                  .y_m = given.y_m.value_or(0),
                                  .latitude_deg = given.latitude_deg,
                                  .longitude_deg = given.longitude_deg},
                        .sweeps = given.sweeps,
                        .required_frequencies_hz = given.required_frequencies_hz,
                        .set_up_min = given.set_up_min,
                        .mains_b_nt = given.mains_b_nt,
                        .contact_resistance_ohm = given.contact_resistance_ohm,
                        .spectrum_csv = given.spectrum_csv,
                        .natural_azimuth_deg = given.natural_azimuth_deg,
                        .interferers = given.interferers};
        const auto site_index =
            index_of_name(station.site, site_names, key + ".site", "the name of a site", refusals);
        const Way way =
            way_of({given.latitude_deg.has_value(), given.longitude_deg.has_value(), given.x_m.has_value(),
                    given.y_m.has_value(), given.offset_m.has_value(), given.bearing_deg.has_value()});
        if (!site_index) continue;
        station.site_index = *site_index;
        const Place& from = sites[static_cast<std::size_t>(station.site_index)].place;
        const bool sites_geographic = from.latitude_deg.has_value();
        if (way == Way::none || way == Way::mixed) {
            refusals.add(key, found_way(way), station_ways);
            continue;
        }
        if ((way == Way::geographic && !sites_geographic) || (way == Way::local && sites_geographic)) {
            refusals.add(key, "another kind of position than the sites have",
                         "the kind the sites have, or offset_m and bearing_deg");
            continue;
        }
        if (way == Way::geographic) project(station.place, sites.front().place);
        const OffsetBearing along = way == Way::polar
                                        ? OffsetBearing{*given.offset_m, bearing_0_to_360(*given.bearing_deg)}
                                        : offset_bearing(from, station.place);
        if (way == Way::polar) station.place = place_at(from, along, sites.front().place);
        station.offset_m = along.offset_m;
        station.bearing_deg = along.bearing_deg;
        stations.push_back(std::move(station));
    }
    return stations;
}

}  // namespace ampturn::plan::file
