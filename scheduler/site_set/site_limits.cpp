#include "scheduler/site_set/site_limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/plan/ways.hpp"
#include "scheduler/terrain/elevation_grid.hpp"
#include "scheduler/terrain/excluded_areas.hpp"

namespace ampturn::site_set {

namespace {

const plan::Place& place_named(const plan::Plan& plan, const std::string& name) {
    for (const plan::Site& site : plan.sites)
        if (site.name == name) return site.place;
    return std::find_if(plan.stations.begin(), plan.stations.end(),
                        [&](const plan::Station& station) { return station.name == name; })
        ->place;  // the loader knows all names of legs
}

}  // namespace

double walk_to_min(const plan::Plan& plan, const plan::Place& place) {
    const terrain::Spot to = plan::spot_of(place);
    double quickest_min = HUGE_VAL;
    const auto consider = [&](double leg_min, const plan::Place& from) {
        const double walk_min =
            plan::level_way_m(plan.walk.get(), plan::spot_of(from), to) * 0.06 / plan.day.walking_speed_km_h;
        quickest_min = std::min(quickest_min, leg_min + walk_min);
    };
    if (plan::has_leg_to_base(plan.day)) {
        for (const plan::Leg& leg : plan.day.legs)
            if ((leg.from == "base") != (leg.to == "base"))
                consider(leg.minutes, place_named(plan, leg.from == "base" ? leg.to : leg.from));
    } else {
        for (const plan::Site& site : plan.sites) consider(0, site.place);
    }
    return quickest_min;
}

AllowedCandidates allowed_candidates(const plan::Plan& plan, std::vector<reach::SiteCandidate> candidates) {
    AllowedCandidates out;
    for (reach::SiteCandidate& candidate : candidates) {
        const plan::Place& place = candidate.place;
        if (plan.areas.excluded && plan.areas.excluded->holding(plan::lon_lat_of(place)) != nullptr) {
            ++out.in_area_count;
            continue;
        }
        if (const auto* heights = plan.terrain.elevation.get()) {
            const terrain::GridPoint at = plan::spot_of(place).at;
            const auto slope_deg =
                plan.terrain.site_slope_max_deg ? heights->slope_deg(at) : std::optional<double>(0);
            if (!heights->at(at) || !slope_deg) {
                ++out.no_height_count;
                continue;
            }
            if (plan.terrain.site_slope_max_deg && *slope_deg > *plan.terrain.site_slope_max_deg) {
                ++out.steep_count;
                continue;
            }
        }
        if (plan.areas.site_walk_max_min && walk_to_min(plan, place) > *plan.areas.site_walk_max_min) {
            ++out.far_count;
            continue;
        }
        out.candidates.push_back(std::move(candidate));
    }
    if (out.candidates.empty())
        throw plan.error(plan.areas.excluded ? "areas" : "terrain",
                         "no candidate left: " + left_out_text(out),
                         "limits that leave a place for a site; or other candidates");
    return out;
}

std::string left_out_text(const AllowedCandidates& allowed) {
    std::string out;
    const auto add = [&](int count, const char* where) {
        if (count > 0) out += fmt::format("{}{} {}", out.empty() ? "" : ", ", count, where);
    };
    add(allowed.in_area_count, "in an excluded area");
    add(allowed.no_height_count, "where the grid has no height or no slope");
    add(allowed.steep_count, "on steeper ground than terrain.site_slope_max_deg");
    add(allowed.far_count, "farther to walk than areas.site_walk_max_min");
    return out;
}

}  // namespace ampturn::site_set
