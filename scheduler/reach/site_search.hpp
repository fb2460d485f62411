#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reach/waypoints.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reach {

/// Where the transmitter should stand: candidate places scored by how many of the required readings
/// would lie in the far field with enough signal from there. Fields, outputs and noise as in reach.hpp, each station
/// with its own mains, electrodes and sweeps. Where a site may stand: scheduler/site_set/site_limits.hpp.

struct SiteCandidate {
    std::string name;
    plan::Place place;
    int usable_count = 0, far_field_count = 0, sufficient_snr_count = 0;
    double nearest_station_m = 0;
    std::size_t row = 0;  // of SiteSearch::usable_by_station
};

struct SiteSearch {
    std::string survey_name;
    bool invented;
    int reading_count;                      // required readings looked at
    std::vector<SiteCandidate> candidates;  // best first; equal scores in the order given
    std::vector<SiteCandidate> planned;     // the plan's own sites by the same measure
    std::vector<plan::Station> stations;    // those looked at, as the plan has them
    std::vector<std::uint16_t>
        usable_by_station;   // when asked: a row a candidate, planned sites too, an entry a station
    int hour = 0;            // local, of the natural field
    double grid_step_m = 0;  // as in SiteSearchOptions
    double keep_out_public_m = 0, keep_out_occupational_m = 0;  // around the loops, wherever they stand
};

struct SiteSearchOptions {
    std::string only_stations_of_site;  // "": all stations
    int azimuth_site_index = 0;         // whose loop azimuths are used
    int hour = -1;                      // as in ReachOptions
    double grid_step_m = 0;             // of the grid the candidates lie on, for maps; 0: no grid
    bool by_station = false;            // fill usable_by_station
    unsigned threads = 1;
    double field_tolerance_rel = reading::OffsetFields::search_tolerance_rel;  // as in ReachOptions
};

/// Square grid over the stations' box widened by `margin_m` on each side. InputError when it would hold more
/// than a million points.
std::vector<SiteCandidate> grid_candidates(const plan::Plan& plan, double step_m, double margin_m);
/// Points read from a file; InputError when the plan has no coordinates to place them by.
std::vector<SiteCandidate> candidates_of(const plan::Plan& plan, const std::vector<Waypoint>& points);

/// Candidates nearer than 20 m or farther than 19 km to a station get no points from it.
SiteSearch search_site(const plan::Plan& plan, std::vector<SiteCandidate> candidates,
                       const SiteSearchOptions& options);
/// The same; `setup` is the plan's own.
SiteSearch search_site(const plan::Plan& plan, const setup::SurveySetup& setup,
                       std::vector<SiteCandidate> candidates, const SiteSearchOptions& options);

}  // namespace ampturn::reach
