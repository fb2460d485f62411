#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace ampturn::site_set {

/// Which few of many sites serve all stations best, each station by the best site for it: the set S that makes
/// f(S) = sum over stations of the largest score(site, station) in S as large as it can be.
///
/// f never falls when a site is added, and the more sites there are the less another one adds (it is submodular). So greedy
/// choice reaches at least 1 - (1 - 1/k)^k of the best, above 1 - 1/e (Nemhauser, Wolsey & Fisher 1978, Math. Programming 14,
/// 265-294, from memory); exchanging single sites while that helps makes it no worse; and a branch and bound over the sites
/// that no other matches at every station proves or betters it where they are few.

/// What each candidate would yield at each station.
struct Scores {
    std::size_t station_count = 0;
    std::vector<std::uint16_t> values;  // candidate by candidate

    std::size_t candidate_count() const { return station_count > 0 ? values.size() / station_count : 0; }
    const std::uint16_t* of(std::size_t candidate) const { return &values[candidate * station_count]; }
};

struct BestSet {
    std::vector<std::size_t> candidates;  // rising
    long long score = 0;
    long long bound = 0;  // no set of as many sites scores more; `score` where that is proved
    bool proved() const { return score == bound; }
};

/// The best set found of each size from 1 to `at_most` (fewer where fewer distinct candidates are of use). Of equal ones the
/// lower candidates are taken at every choice, so the result follows from the scores alone.
std::vector<BestSet> best_sets(const Scores& scores, std::size_t at_most);

/// Sum over the stations of the best of `candidates`.
long long score_of(const Scores& scores, const std::vector<std::size_t>& candidates);

}  // namespace ampturn::site_set
