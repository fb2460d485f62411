#include "scheduler/site_set/best_sets.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ampturn::site_set {

namespace {

using Best = std::vector<std::uint16_t>;  // what each station has so far

// So many candidates are compared each with each, and so many steps the proof may take; both some seconds at most.
constexpr std::size_t compared_most = 4000;
constexpr double proof_steps_most = 3e8;

long long sum(const Best& best) { return std::accumulate(best.begin(), best.end(), 0LL); }

void add(const Scores& scores, std::size_t candidate, Best& best) {
    const std::uint16_t* row = scores.of(candidate);
    for (std::size_t s = 0; s < best.size(); ++s) best[s] = std::max(best[s], row[s]);
}

long long gain(const Scores& scores, std::size_t candidate, const Best& best) {
    const std::uint16_t* row = scores.of(candidate);
    long long sum = 0;
    for (std::size_t s = 0; s < best.size(); ++s) sum += row[s] > best[s] ? row[s] - best[s] : 0;
    return sum;
}

Best best_of(const Scores& scores, const std::vector<std::size_t>& candidates) {
    Best best(scores.station_count, 0);
    for (const std::size_t c : candidates) add(scores, c, best);
    return best;
}

/// Candidates with something to give, one of each kind (the lowest), rising.
std::vector<std::size_t> distinct(const Scores& scores) {
    std::vector<std::size_t> out;
    for (std::size_t c = 0; c < scores.candidate_count(); ++c)
        if (gain(scores, c, Best(scores.station_count, 0)) > 0) out.push_back(c);
    const auto end = [&](std::size_t c) { return scores.of(c) + scores.station_count; };
    std::stable_sort(out.begin(), out.end(), [&](auto a, auto b) {
        return std::lexicographical_compare(scores.of(a), end(a), scores.of(b), end(b));
    });
    out.erase(std::unique(out.begin(), out.end(),
                          [&](auto a, auto b) { return std::equal(scores.of(a), end(a), scores.of(b)); }),
              out.end());
    std::sort(out.begin(), out.end());
    return out;
}

/// Without those that another matches or betters at every station: a best set without them exists.
std::vector<std::size_t> undominated(const Scores& scores, std::vector<std::size_t> candidates) {
    const Best nothing(scores.station_count, 0);
    std::stable_sort(candidates.begin(), candidates.end(),
                     [&](auto a, auto b) { return gain(scores, a, nothing) > gain(scores, b, nothing); });
    std::vector<std::size_t> out;
    for (const std::size_t c : candidates) {
        const bool matched = std::any_of(out.begin(), out.end(), [&](std::size_t better) {
            return std::equal(scores.of(c), scores.of(c) + scores.station_count, scores.of(better),
                              [](auto mine, auto its) { return mine <= its; });
        });
        if (!matched) out.push_back(c);
    }
    return out;
}

/// The one that gains most; of equal ones the first.
std::size_t most_gaining(const Scores& scores, const std::vector<std::size_t>& candidates, const Best& best) {
    std::size_t chosen = candidates.front();
    long long most = -1;
    for (const std::size_t c : candidates)
        if (const long long here = gain(scores, c, best); here > most) most = here, chosen = c;
    return chosen;
}

/// Exchanges single sites as long as that helps.
void exchange(const Scores& scores, const std::vector<std::size_t>& candidates,
              std::vector<std::size_t>& set) {
    long long score = score_of(scores, set);
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t i = 0; i < set.size(); ++i) {
            std::vector<std::size_t> rest = set;
            rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
            const Best best = best_of(scores, rest);
            const std::size_t other = most_gaining(scores, candidates, best);
            const long long here = sum(best) + gain(scores, other, best);
            if (here <= score) continue;
            set[i] = other;
            score = here;
            changed = true;
        }
    }
}

/// What no set of `count` more sites can pass on top of `best`: the largest gains added up, and each station's best.
long long bound_with(const Scores& scores, const std::size_t* begin, const std::size_t* end,
                     std::size_t count, const Best& best) {
    Best ceiling = best;
    std::vector<long long> gains;
    for (const std::size_t* c = begin; c != end; ++c) {
        gains.push_back(gain(scores, *c, best));
        add(scores, *c, ceiling);
    }
    const std::size_t taken = std::min(count, gains.size());
    std::partial_sort(gains.begin(), gains.begin() + static_cast<std::ptrdiff_t>(taken), gains.end(),
                      std::greater<>());
    const long long added =
        std::accumulate(gains.begin(), gains.begin() + static_cast<std::ptrdiff_t>(taken), sum(best));
    return std::min(added, sum(ceiling));
}

/// Branch and bound over sets that go on in the order given.
class Proof {
  public:
    Proof(const Scores& scores, const std::vector<std::size_t>& candidates, BestSet& incumbent)
        : scores_(scores), candidates_(candidates), incumbent_(incumbent) {}

    /// Whether all sets of `count` were looked at or ruled out; the incumbent is then a best one.
    bool run(std::size_t count) {
        look(0, count, Best(scores_.station_count, 0));
        return steps_ <= proof_steps_most;
    }

  private:
    void look(std::size_t from, std::size_t left, const Best& best) {
        if (const long long here = sum(best); here > incumbent_.score) {
            incumbent_.score = here;
            incumbent_.candidates = chosen_;
        }
        if (left == 0) return;
        for (std::size_t i = from; i < candidates_.size(); ++i) {
            steps_ += static_cast<double>((candidates_.size() - i) * scores_.station_count);
            if (steps_ > proof_steps_most) return;
            if (bound_with(scores_, candidates_.data() + i, candidates_.data() + candidates_.size(), left,
                           best) <= incumbent_.score)
                return;  // nor does any that begins later
            Best with = best;
            add(scores_, candidates_[i], with);
            chosen_.push_back(candidates_[i]);
            look(i + 1, left - 1, with);
            chosen_.pop_back();
        }
    }

    const Scores& scores_;
    const std::vector<std::size_t>& candidates_;
    BestSet& incumbent_;
    std::vector<std::size_t> chosen_;
    double steps_ = 0;
};

}  // namespace

long long score_of(const Scores& scores, const std::vector<std::size_t>& candidates) {
    return sum(best_of(scores, candidates));
}

std::vector<BestSet> best_sets(const Scores& scores, std::size_t at_most) {
    std::vector<BestSet> out;
    const std::vector<std::size_t> candidates = distinct(scores);
    if (candidates.empty()) return out;
    const std::vector<std::size_t> few =
        candidates.size() <= compared_most ? undominated(scores, candidates) : std::vector<std::size_t>{};
    std::vector<std::size_t> greedy;
    for (std::size_t count = 1; count <= std::min(at_most, candidates.size()); ++count) {
        Best best = best_of(scores, greedy);
        greedy.push_back(most_gaining(scores, candidates, best));
        add(scores, greedy.back(), best);
        BestSet found{greedy, 0, 0};
        exchange(scores, candidates, found.candidates);
        found.score = score_of(scores, found.candidates);
        if (!out.empty() && out.back().score > found.score) {  // a better one of fewer, proved on the way
            found.candidates = out.back().candidates;
            found.score = out.back().score;
        }

        const std::size_t* all = candidates.data();
        const Best nothing(scores.station_count, 0), here = best_of(scores, found.candidates);
        const double greedy_share = 1 - std::pow(1 - 1 / static_cast<double>(count), count);
        found.bound = std::min({bound_with(scores, all, all + candidates.size(), count, nothing),
                                bound_with(scores, all, all + candidates.size(), count, here),
                                static_cast<long long>(std::floor(static_cast<double>(sum(best)) /
                                                                  greedy_share * (1 + 1e-12)))});
        if (!few.empty() && found.score < found.bound && Proof(scores, few, found).run(count))
            found.bound = found.score;
        std::sort(found.candidates.begin(), found.candidates.end());
        out.push_back(std::move(found));
    }
    return out;
}

}  // namespace ampturn::site_set
