#include "scheduler/site_set/found_sites.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/station_geometry.hpp"

namespace ampturn::site_set {

namespace {

/// Rows in the order of the candidates.
Scores scores_of(const reach::SiteSearch& search, const std::vector<reach::SiteCandidate>& candidates) {
    Scores scores{search.stations.size(), {}};
    for (const reach::SiteCandidate& c : candidates) {
        const auto row =
            search.usable_by_station.begin() + static_cast<std::ptrdiff_t>(c.row * scores.station_count);
        scores.values.insert(scores.values.end(), row,
                             row + static_cast<std::ptrdiff_t>(scores.station_count));
    }
    return scores;
}

FoundSites found_sites(const reach::SiteSearch& search, const Scores& scores, const BestSet& set) {
    FoundSites out;
    for (const std::size_t c : set.candidates) out.sites.push_back(&search.candidates[c]);
    for (std::size_t s = 0; s < search.stations.size(); ++s) {
        Served best{&search.stations[s], 0, -1, 0};
        for (std::size_t i = 0; i < set.candidates.size(); ++i) {
            const int usable = scores.of(set.candidates[i])[s];
            const double offset_m =
                plan::offset_bearing(out.sites[i]->place, search.stations[s].place).offset_m;
            if (usable > best.usable_count || (usable == best.usable_count && offset_m < best.offset_m))
                best = {&search.stations[s], i, usable, offset_m};
        }
        out.stations.push_back(best);
    }
    return out;
}

}  // namespace

SiteSets site_sets(const reach::SiteSearch& search, std::size_t at_most) {
    const Scores scores = scores_of(search, search.candidates);
    SiteSets out{best_sets(scores, at_most), 0, {}, 0};
    if (out.by_count.empty())
        throw base::InputError(base::InputProblem{.file = "--at-most",
                                                  .found = "no candidate with a usable reading",
                                                  .allowed = "candidates that see a station well"});
    for (std::size_t i = 1; i < out.by_count.size(); ++i)
        if (out.by_count[i].score > out.by_count[out.chosen].score) out.chosen = i;
    out.found = found_sites(search, scores, out.by_count[out.chosen]);
    std::vector<std::size_t> all(search.planned.size());
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
    out.planned_score = score_of(scores_of(search, search.planned), all);
    return out;
}

plan::Plan plan_with(plan::Plan plan, const FoundSites& found, int azimuth_site_index) {
    const int before = static_cast<int>(plan.sites.size());
    const plan::Site like = plan.sites.at(static_cast<std::size_t>(azimuth_site_index));
    for (const reach::SiteCandidate* c : found.sites) {
        const auto same = [&](const auto& named) { return named.name == c->name; };
        if (c->name == "base" || std::any_of(plan.sites.begin(), plan.sites.end(), same) ||
            std::any_of(plan.stations.begin(), plan.stations.end(), same))
            throw base::InputError(
                base::InputProblem{.file = "--new-plan",
                                   .found = fmt::format("a found site \"{}\", a name the plan has", c->name),
                                   .allowed = "candidates with names of their own"});
        plan.sites.push_back({.name = c->name,
                              .place = c->place,
                              .loop_a_azimuth_deg = like.loop_a_azimuth_deg,
                              .loop_b_azimuth_deg = like.loop_b_azimuth_deg});
    }
    for (const Served& served : found.stations)
        for (plan::Station& station : plan.stations)
            if (station.name == served.station->name) {
                station.site_index = before + static_cast<int>(served.site);
                station.site = found.sites[served.site]->name;
                const plan::OffsetBearing way =
                    plan::offset_bearing(found.sites[served.site]->place, station.place);
                station.offset_m = way.offset_m;
                station.bearing_deg = way.bearing_deg;
            }
    return plan;
}

}  // namespace ampturn::site_set
