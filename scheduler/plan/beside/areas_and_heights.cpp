#include "scheduler/plan/beside/areas_and_heights.hpp"

#include <fmt/format.h>

#include "scheduler/base/input_file.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/plan/ways.hpp"
#include "scheduler/terrain/elevation_file.hpp"
#include "scheduler/terrain/excluded_areas.hpp"

namespace ampturn::plan::beside {

namespace {

constexpr std::size_t shapes_bytes_max = 100'000'000;

std::string read_shapes(const std::string& path) {
    return base::read_input_file(path, "GeoJSON after RFC 7946", shapes_bytes_max);
}

void read_excluded(Plan& plan, std::vector<Clash>& clashes) {
    const std::string path = path_beside(plan.source.path, plan.areas.exclusion_geojson);
    plan.areas.excluded =
        std::make_shared<const terrain::ExcludedAreas>(terrain::polygons_of_geojson(read_shapes(path), path));
    for (std::size_t i = 0; i < plan.sites.size(); ++i)
        if (const std::string* area = plan.areas.excluded->holding(lon_lat_of(plan.sites[i].place)))
            clashes.push_back(
                {fmt::format("site[{}]", i + 1),
                 fmt::format("\"{}\" inside the area \"{}\" of {}", plan.sites[i].name, *area, path),
                 "a place outside all areas of areas.exclusion_geojson"});
}

std::vector<std::vector<terrain::Spot>> read_tracks(const Plan& plan) {
    const std::string path = path_beside(plan.source.path, plan.areas.tracks_geojson);
    std::vector<std::vector<terrain::Spot>> tracks;
    for (const terrain::Line& line : terrain::lines_of_geojson(read_shapes(path), path)) {
        tracks.emplace_back();
        for (const terrain::LonLat& point : line.points) {
            Place place;
            place.latitude_deg = point.latitude_deg;
            place.longitude_deg = point.longitude_deg;
            project(place, plan.sites.front().place);
            tracks.back().push_back(spot_of(place));
        }
    }
    return tracks;
}

void read_heights(Plan& plan, std::vector<Clash>& clashes) {
    const std::string path = path_beside(plan.source.path, plan.terrain.elevation_grid);
    plan.terrain.elevation = std::make_shared<const terrain::ElevationGrid>(
        terrain::read_elevation(path, is_geographic(plan.sites.front().place) ? terrain::GridUnit::degree
                                                                              : terrain::GridUnit::metre));
    const auto check = [&](const std::string& key, const std::string& name, const Place& place) {
        if (!plan.terrain.elevation->at(spot_of(place).at))
            clashes.push_back({key, fmt::format("\"{}\", where {} has no height", name, path),
                               "a place on the grid of terrain.elevation_grid and not in a hole of it"});
    };
    for (std::size_t i = 0; i < plan.sites.size(); ++i)
        check(fmt::format("site[{}]", i + 1), plan.sites[i].name, plan.sites[i].place);
    for (std::size_t i = 0; i < plan.stations.size(); ++i)
        check(fmt::format("station[{}]", i + 1), plan.stations[i].name, plan.stations[i].place);
}

}  // namespace

std::vector<Clash> read_areas_and_heights(Plan& plan) {
    std::vector<Clash> clashes;
    const bool tracked = !plan.areas.tracks_geojson.empty(), excluded = !plan.areas.exclusion_geojson.empty();
    if ((tracked || excluded) && !is_geographic(plan.sites.front().place)) {
        clashes.push_back({excluded ? "areas.exclusion_geojson" : "areas.tracks_geojson",
                           "GeoJSON, with sites in metres",
                           "sites with latitude_deg and longitude_deg, to place its coordinates by"});
        return clashes;
    }
    const auto look_for = [&](const std::string& name, const char* key, const char* kind) {
        if (name.empty()) return;
        if (auto clash = missing_beside(plan.source.path, name, key, kind))
            clashes.push_back(std::move(*clash));
    };
    look_for(plan.areas.exclusion_geojson, "areas.exclusion_geojson", "a GeoJSON file");
    look_for(plan.areas.tracks_geojson, "areas.tracks_geojson", "a GeoJSON file");
    look_for(plan.terrain.elevation_grid, "terrain.elevation_grid", "a grid of heights");
    if (!clashes.empty()) return clashes;
    if (excluded) read_excluded(plan, clashes);
    if (!plan.terrain.elevation_grid.empty()) read_heights(plan, clashes);
    if (tracked || plan.terrain.elevation)
        plan.walk = std::make_shared<const terrain::Walk>(
            plan.terrain.elevation, plan.terrain.walking_rule,
            tracked ? read_tracks(plan) : std::vector<std::vector<terrain::Spot>>{},
            plan.areas.track_speed_factor);
    return clashes;
}

}  // namespace ampturn::plan::beside
