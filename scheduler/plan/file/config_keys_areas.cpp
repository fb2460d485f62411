#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

Section<Areas> areas_keys() {
    Section<Areas> keys;
    keys.text("exclusion_geojson", &Areas::exclusion_geojson,
              {.help = "File beside the plan with the areas in which no transmitter may stand: polygons, "
                       "holes left free. A site of the plan inside one is an error.",
               .when_absent = "none"})
        .text("tracks_geojson", &Areas::tracks_geojson,
              {.help = "File beside the plan with lines along which people walk faster. A way goes straight, "
                       "or straight to a track, along it and straight on, whichever is quicker.",
               .when_absent = "none"})
        .number("track_speed_factor", &Areas::track_speed_factor, {.min = 1, .max = 50},
                {.help = "Speed on a track over that on open ground.",
                 .source = "Tobler (1993), from memory: off the path 0.6 times as fast, rounded"})
        .number("site_walk_max_min", &Areas::site_walk_max_min, {.unit = "min", .min = 0, .max = 1440},
                {.help = "Sites that `ampturn reach` searches are left out when the way to them from the "
                         "base, or without a leg to the base from the nearest site of the plan, is longer.",
                 .when_absent = "no limit"});
    return keys;
}

Section<Terrain> terrain_keys() {
    const Words<terrain::SlopeRule> rules{{terrain::SlopeRule::tobler, "tobler"},
                                          {terrain::SlopeRule::naismith, "naismith"}};
    Section<Terrain> keys;
    keys.text("elevation_grid", &Terrain::elevation_grid,
              {.help = "File beside the plan with heights in metres: an ESRI ASCII grid, or a GeoTIFF where "
                       "gdal_translate of GDAL is installed; in degrees of WGS84 for sites with latitude and "
                       "longitude, else in metres east (y_m) and north (x_m) of the plan's plane. All sites "
                       "and stations must lie on it.",
               .when_absent = "level ground"})
        .choice("walking_rule", &Terrain::walking_rule, rules,
                {.help = "What slopes cost on foot, there and back halved: tobler, speed falls off either "
                         "side of a slight descent; naismith, climbing takes longer.",
                 .source = "Tobler (1993); Naismith (1892), an hour for 3 miles and for 2000 feet of climb; "
                           "from memory"})
        .number("site_slope_max_deg", &Terrain::site_slope_max_deg, {.unit = "deg", .min = 0, .max = 90},
                {.help = "Sites that `ampturn reach` searches are left out on steeper ground.",
                 .when_absent = "no limit"})
        .number(
            "flat_relief_fraction", &Terrain::flat_relief_fraction, {.min = 0.001, .max = 100},
            {.help = "When heights on the line from site to station differ by more than this times the "
                     "smaller of offset and skin depth, a remark says that flat ground is doubtful there.",
             .source = "common practice, no source"})
        .rule([](const Terrain& terrain, const Value& table, const std::string& key, Problems& problems) {
            if (terrain.site_slope_max_deg && terrain.elevation_grid.empty())
                problems.add(table, key + ".site_slope_max_deg",
                             fmt::format("{}", *terrain.site_slope_max_deg),
                             "nothing without " + key + ".elevation_grid");
        });
    return keys;
}

}  // namespace ampturn::plan::file
