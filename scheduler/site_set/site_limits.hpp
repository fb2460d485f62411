#pragma once

#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reach/site_search.hpp"

namespace ampturn::site_set {

/// Candidates that the plan's [areas] and [terrain] leave, and how many it takes out, each counted by the first reason.
struct AllowedCandidates {
    std::vector<reach::SiteCandidate> candidates;
    int in_area_count = 0;    // areas.exclusion_geojson
    int no_height_count = 0;  // beyond terrain.elevation_grid, or in a hole of it
    int steep_count = 0;      // terrain.site_slope_max_deg
    int far_count = 0;        // areas.site_walk_max_min
    int left_out_count() const { return in_area_count + no_height_count + steep_count + far_count; }
};

/// InputError when none is left.
AllowedCandidates allowed_candidates(const plan::Plan& plan, std::vector<reach::SiteCandidate> candidates);

/// "12 in an excluded area, 3 on steeper ground"; "" when none was left out.
std::string left_out_text(const AllowedCandidates& allowed);

/// The walk to a place in minutes: from the base over the quickest place with a leg there, without such a leg from the nearest site of the plan.
double walk_to_min(const plan::Plan& plan, const plan::Place& place);

}  // namespace ampturn::site_set
