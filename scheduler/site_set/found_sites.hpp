#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reach/site_search.hpp"
#include "scheduler/site_set/best_sets.hpp"

namespace ampturn::site_set {

/// Which of a set's sites serves a station: the one with most usable readings there; of equal ones the nearest.
struct Served {
    const plan::Station* station;
    std::size_t site;  // of FoundSites::sites
    int usable_count;
    double offset_m;
};

struct FoundSites {
    std::vector<const reach::SiteCandidate*> sites;  // in the order of the search: best alone first
    std::vector<Served> stations;
};

struct SiteSets {
    std::vector<BestSet> by_count;  // indices into SiteSearch::candidates
    std::size_t chosen = 0;         // of by_count: the fewest sites that reach the best score
    FoundSites found;
    long long planned_score = 0;  // of the plan's own sites, each station by its best
};

/// Of a search made with by_station; points into it. InputError when no candidate has a usable reading.
SiteSets site_sets(const reach::SiteSearch& search, std::size_t at_most);

/// The plan with the found sites behind its own, with the loop azimuths of site `azimuth_site_index`, and the stations served by them. Its
/// own sites stay, for legs may lead there. InputError when a found site has a name of the plan.
plan::Plan plan_with(plan::Plan plan, const FoundSites& found, int azimuth_site_index);

std::string site_sets_text(const reach::SiteSearch& search, const SiteSets& sets, bool colour);
/// Schema "ampturn.site_sets" 1.
std::string site_sets_json_text(const reach::SiteSearch& search, const SiteSets& sets);

}  // namespace ampturn::site_set
