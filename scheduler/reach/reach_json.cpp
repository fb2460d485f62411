#include "scheduler/reach/reach_json.hpp"

#include <cmath>
#include <utility>

#include "scheduler/base/json.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/reach/reach_output.hpp"

namespace ampturn::reach {

using Json = ReachJson;

const char* name_of(plan::NaturalNoise level) {
    switch (level) {
        case plan::NaturalNoise::quiet_day:
            return "a quiet day";
        case plan::NaturalNoise::typical:
            return "a typical day";
        case plan::NaturalNoise::summer_night:
            return "a summer night";
    }
    return "";
}

ReachJson intervals_json(const std::vector<OffsetInterval>& intervals) {
    Json out = Json::array();
    for (const OffsetInterval& i : intervals)
        out.push_back({{"from_m", base::json_number(i.from_m)}, {"to_m", base::json_number(i.to_m)}});
    return out;
}

ReachJson cell_json(const ReachCell& cell) {
    Json out{{"far_field", intervals_json(cell.far_field)},
             {"sufficient_snr", intervals_json(cell.sufficient_snr)},
             {"usable", intervals_json(cell.usable)}};
    if (!cell.opening) return out;
    const Remedy& o = *cell.opening;
    Json levels = Json::array();
    for (const plan::NaturalNoise level : o.natural_levels) levels.push_back(name_of(level));
    out["opening"] = {
        {"moment_factor", base::json_number(o.moment_factor)},
        {"dwell_factor", base::json_number(o.dwell_factor)},
        {"moment_at_m", std::isfinite(o.moment_factor) ? base::json_number(o.moment_at_m) : Json(nullptr)},
        {"tolerance_factor", base::json_number(o.tolerance_factor)},
        {"tolerance_at_m",
         std::isfinite(o.tolerance_factor) ? base::json_number(o.tolerance_at_m) : Json(nullptr)},
        {"natural_levels", std::move(levels)},
        {"hours", o.hours}};
    return out;
}

ReachJson survey_json(const Reach& reach) {
    Json sectors = Json::array();
    for (const Sector& s : reach.sectors)
        sectors.push_back({{"from_deg", base::json_number(s.from_deg)},
                           {"to_deg", base::json_number(s.to_deg)},
                           {"also_opposite", s.also_opposite}});
    return {
        {"plan_path", reach.plan_path},
        {"survey_name", reach.survey_name},
        {"invented", reach.invented},
        {"site", reach.site_name},
        {"offset_min_m", base::json_number(reach.offset_min_m)},
        {"offset_max_m", base::json_number(reach.offset_max_m)},
        {"hour", reach.hour},
        {"noise_by_hour", reach.noise_by_hour},
        {"table_made_for",
         {{"temperature_c", base::json_number(reach.table_made_for.temperature_c)},
          {"state_of_charge_fraction", base::json_number(reach.table_made_for.state_of_charge_fraction)}}},
        {"rule_of_thumb_skin_depths", base::json_number(reach.targets.rule_of_thumb_skin_depths)},
        {"sectors", std::move(sectors)}};
}

ReachJson sent_json(const ReachFrequency& f) {
    return {{"frequency_hz", base::json_number(f.frequency_hz)},
            {"dwell_a_s", base::json_number(f.dwell_a_s)},
            {"dwell_b_s", base::json_number(f.dwell_b_s)},
            {"moment_a_a_m2_peak", base::json_number(f.moment_a_a_m2)},
            {"moment_b_a_m2_peak", base::json_number(f.moment_b_a_m2)}};
}

ReachJson ground_json(const ReachFrequency& f) {
    return {{"plane_resistivity_ohm_m", base::json_number(f.plane_resistivity_ohm_m)},
            {"skin_depth_m", base::json_number(f.skin_depth_m)},
            {"rule_of_thumb_m", base::json_number(f.rule_of_thumb_m)},
            {"natural_signal_sd_percent", base::json_number(f.natural_signal_sd_percent)}};
}

std::string reach_json_text(const Reach& reach) {
    Json frequencies = Json::array(), stations = Json::array();
    for (const ReachFrequency& f : reach.frequencies) {
        Json one = sent_json(f);
        one.update(ground_json(f));
        one["all_directions"] = cell_json(f.all_directions);
        Json& cells = one["sectors"] = Json::array();
        for (const ReachCell& cell : f.sectors) cells.push_back(cell_json(cell));
        frequencies.push_back(std::move(one));
    }
    for (const ReachStation& s : reach.stations)
        stations.push_back({{"name", s.name},
                            {"offset_m", base::json_number(s.offset_m)},
                            {"bearing_deg", base::json_number(s.bearing_deg)},
                            {"sector_index", s.sector_index},
                            {"in_window", s.in_window}});
    Json all{{"schema", "ampturn.reach"},
             {"schema_version", 1},
             {"version", std::string(base::version())},
             {"git_hash", std::string(base::git_hash())}};
    all.update(survey_json(reach));
    all["frequencies"] = std::move(frequencies);
    all["stations"] = std::move(stations);
    return base::json_text(all, 1);
}

}  // namespace ampturn::reach
