#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <iterator>

#include "model/receiver/noise.hpp"
#include "scheduler/plan/beside/file_beside.hpp"
#include "scheduler/plan/beside/natural_spectrum.hpp"
#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/power_line.hpp"
#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::plan::file {

namespace {

/// Numbers of a class of coils, into a receiver or a set of sensors; a custom coil has its own.
template <class Coiled>
void fill_coil(Coil coil, Coiled& to) {
    const auto use = [&](const model::receiver::CoilNoise& noise) {
        to.coil_a_pt = noise.a_pt;
        to.coil_floor_pt_per_rthz = noise.floor_pt_per_rthz;
        to.coil_b_pt_per_hz = noise.b_pt_per_hz;
    };
    switch (coil) {
        case Coil::long_coil:
            use(model::receiver::long_coil);
            break;
        case Coil::medium:
            use(model::receiver::medium_coil);
            break;
        case Coil::miniature:
            use(model::receiver::miniature_coil);
            break;
        case Coil::custom:
            break;
    }
}

/// The points of a line as places, of one of the two ways they are given in.
std::vector<Place> points_of(const PowerLineInput& given, const std::vector<Site>& sites) {
    std::vector<Place> points;
    for (const auto& [longitude_deg, latitude_deg] : given.longitude_latitude_deg) {
        Place point;
        point.latitude_deg = latitude_deg;
        point.longitude_deg = longitude_deg;
        project(point, sites.front().place);
        points.push_back(point);
    }
    for (const auto& [x_m, y_m] : given.x_y_m) {
        Place point;
        point.x_m = x_m;
        point.y_m = y_m;
        points.push_back(point);
    }
    return points;
}

/// Whether latitudes can be latitudes, before anything is worked out from them.
bool check_latitudes(const PowerLineInput& given, const std::string& key, Refusals& refusals) {
    bool fine = true;
    for (std::size_t i = 0; i < given.longitude_latitude_deg.size(); ++i) {
        const double latitude_deg = given.longitude_latitude_deg[i][1];
        if (latitude_deg >= -89 && latitude_deg <= 89) continue;
        refusals.add(fmt::format("{}.longitude_latitude_deg[{}]", key, i + 1),
                     fmt::format("a latitude of {} deg", latitude_deg),
                     "longitude, then latitude, -89 to 89 deg");
        fine = false;
    }
    return fine;
}

void check_points(const PowerLine& line, const Place& site, const std::string& list, Refusals& refusals) {
    constexpr double farthest_m = 200'000;
    for (std::size_t i = 0; i < line.points.size(); ++i) {
        const std::string key = fmt::format("{}[{}]", list, i + 1);
        const double away_m = offset_bearing(site, line.points[i]).offset_m;
        if (away_m > farthest_m)
            refusals.add(key, fmt::format("a point {:.0f} km from the first site", away_m / 1000),
                         fmt::format("at most {:.0f} km (longitude comes first)", farthest_m / 1000));
        if (i > 0 && offset_bearing(line.points[i - 1], line.points[i]).offset_m == 0)
            refusals.add(key, "the point before again", "another point");
    }
}

void check_clear_of_lines(const Plan& plan, std::size_t station_index, Refusals& refusals) {
    const Station& station = plan.stations[station_index];
    if (station.mains_b_nt) return;
    for (const PowerLine& line : plan.power_lines) {
        const double distance_m = distance_to_line_m(station.place, line);
        if (distance_m < power_line_clear_m)
            refusals.add(
                fmt::format("station[{}]", station_index + 1),
                fmt::format("\"{}\" {:.3g} m from power line \"{}\"", station.name, distance_m, line.name),
                fmt::format("at least {:g} m, or its own mains_b_nt", power_line_clear_m));
    }
}

std::optional<NaturalSpectrum> spectrum_beside(const std::string& plan_path, const std::string& csv,
                                               const std::string& key, Refusals& refusals) {
    if (csv.empty()) return std::nullopt;
    if (const auto clash = beside::missing_beside(plan_path, csv, key, "a CSV file")) {
        refusals.add(clash->key, clash->found, clash->allowed);
        return std::nullopt;
    }
    return beside::read_natural_spectrum(beside::path_beside(plan_path, csv));
}

}  // namespace

std::vector<NamedGround> expand_grounds(const std::vector<NamedGroundInput>& input, Refusals& refusals) {
    check_names_once(input, "ground", refusals);
    std::vector<NamedGround> grounds;
    for (std::size_t i = 0; i < input.size(); ++i)
        grounds.push_back(
            {input[i].name, expand_ground(input[i], fmt::format("ground[{}]", i + 1), refusals)});
    return grounds;
}

std::vector<PowerLine> expand_power_lines(const std::vector<PowerLineInput>& input,
                                          const std::vector<Site>& sites, Refusals& refusals) {
    check_names_once(input, "power_line", refusals);
    const bool sites_geographic = is_geographic(sites.front().place);
    std::vector<PowerLine> lines;
    for (std::size_t i = 0; i < input.size(); ++i) {
        const PowerLineInput& given = input[i];
        const std::string key = fmt::format("power_line[{}]", i + 1);
        const bool geographic = !given.longitude_latitude_deg.empty();
        if (geographic == !given.x_y_m.empty())
            refusals.add(key, geographic ? "two courses at once" : "no course",
                         "longitude_latitude_deg, or x_y_m");
        else if (geographic != sites_geographic)
            refusals.add(key, "another kind of position than the sites have",
                         sites_geographic ? "longitude_latitude_deg" : "x_y_m");
        else if (check_latitudes(given, key, refusals)) {
            lines.push_back({.name = given.name,
                             .points = points_of(given, sites),
                             .mains_b_nt = given.mains_b_nt,
                             .at_distance_m = given.at_distance_m,
                             .fall_off_exponent = given.fall_off_exponent});
            check_points(lines.back(), sites.front().place,
                         key + (geographic ? ".longitude_latitude_deg" : ".x_y_m"), refusals);
        }
    }
    return lines;
}

void add_surroundings(const PlanInput& input, Plan& plan, const std::string& plan_path, Refusals& refusals) {
    fill_coil(plan.receiver.coil, plan.receiver);
    check_names_once(input.sensor_sets, "sensors", refusals);
    plan.sensor_sets = input.sensor_sets;
    for (SensorSet& set : plan.sensor_sets)
        if (set.coil) fill_coil(*set.coil, set);
    plan.noise.spectrum = spectrum_beside(plan_path, plan.noise.spectrum_csv, "noise.spectrum_csv", refusals);
    const std::vector<std::string> grounds = names_of(plan.grounds), sets = names_of(plan.sensor_sets),
                                   crews = names_of(plan.receiver_crews);
    for (std::size_t i = 0; i < plan.stations.size(); ++i) {
        Station& station = plan.stations[i];
        const std::string key = fmt::format("station[{}]", i + 1);
        const auto index = [&](const std::string& name, const std::vector<std::string>& names,
                               const char* short_key, const char* what) -> std::optional<int> {
            if (name.empty()) return std::nullopt;
            return index_of_name(name, names, key + short_key, what, refusals);
        };
        const auto crew = index(input.stations[i].crew, crews, ".crew", "the name of a [[receiver_crew]]");
        station.crew_index = crew.value_or(0);
        station.ground_index =
            index(input.stations[i].ground, grounds, ".ground", "the name of a [[ground]]");
        station.sensors_index = index(input.stations[i].sensors, sets, ".sensors", "the name of [[sensors]]");
        station.spectrum = spectrum_beside(plan_path, station.spectrum_csv, key + ".spectrum_csv", refusals);
        check_clear_of_lines(plan, i, refusals);
        station.power_lines_b_nt = power_lines_b_nt(plan.power_lines, station.place);
    }
}

}  // namespace ampturn::plan::file
