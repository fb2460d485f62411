#include "scheduler/site_set/best_sets.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <random>

namespace ampturn::site_set {
namespace best_sets_test {

Scores random_scores(unsigned seed, std::size_t candidates, std::size_t stations, unsigned most) {
    std::mt19937 random(seed);
    Scores scores{stations, {}};
    for (std::size_t i = 0; i < candidates * stations; ++i)
        scores.values.push_back(static_cast<std::uint16_t>(random() % (most + 1)));
    return scores;
}

/// Every set of exactly or fewer than `left` more candidates, tried.
long long tried_all(const Scores& scores, std::vector<std::size_t>& set, std::size_t from, std::size_t left) {
    long long best = score_of(scores, set);
    if (left == 0) return best;
    for (std::size_t c = from; c < scores.candidate_count(); ++c) {
        set.push_back(c);
        best = std::max(best, tried_all(scores, set, c + 1, left - 1));
        set.pop_back();
    }
    return best;
}

// Independent: all sets tried one by one.
TEST(BestSets, AreThoseThatTryingAllFinds) {
    int not_greedy = 0;
    for (unsigned seed = 1; seed <= 60; ++seed) {
        const Scores scores = random_scores(seed, 14, 4 + seed % 9, 3 + seed % 7);
        const std::vector<BestSet> found = best_sets(scores, 4);
        ASSERT_EQ(found.size(), 4u);
        long long greedy = 0;
        std::vector<std::size_t> by_greed;
        for (std::size_t count = 1; count <= 4; ++count) {
            const BestSet& set = found[count - 1];
            std::vector<std::size_t> none;
            EXPECT_EQ(set.score, tried_all(scores, none, 0, count)) << "seed " << seed << ", " << count;
            EXPECT_TRUE(set.proved());
            EXPECT_EQ(score_of(scores, set.candidates), set.score);
            EXPECT_LE(set.candidates.size(), count);
            std::size_t next = 0;
            for (std::size_t c = 0; c < scores.candidate_count(); ++c) {
                auto with = by_greed;
                with.push_back(c);
                if (const long long here = score_of(scores, with); here > greedy) greedy = here, next = c;
            }
            by_greed.push_back(next);
            not_greedy += greedy < set.score;
        }
    }
    EXPECT_GT(not_greedy, 0) << "the seeds hold cases that greed alone does not solve";
}

// Definition: of equal candidates the first is taken, and a bound is never below the score.
TEST(BestSets, TiesGoToTheFirstAndBoundsHold) {
    const Scores same{2, {1, 3, 2, 2, 2, 2, 1, 3}};
    const std::vector<BestSet> found = best_sets(same, 3);
    ASSERT_EQ(found.size(), 2u) << "there are two kinds of candidate";
    EXPECT_EQ(found[0].candidates, std::vector<std::size_t>{0});
    EXPECT_EQ(found[1].candidates, (std::vector<std::size_t>{0, 1}));
    EXPECT_EQ(found[1].score, 5);
    EXPECT_TRUE(best_sets({3, {0, 0, 0, 0, 0, 0}}, 2).empty());
    EXPECT_TRUE(best_sets({0, {}}, 2).empty());

    // Too many to prove: the bound holds, and is no worse than what Nemhauser et al. (1978) promise of greed.
    const Scores many = random_scores(7, 6000, 30, 18);
    for (const BestSet& set : best_sets(many, 4)) {
        EXPECT_GE(set.bound, set.score);
        EXPECT_GE(static_cast<double>(set.score), (1 - std::exp(-1.0)) * static_cast<double>(set.bound));
    }
    EXPECT_EQ(best_sets(many, 3)[2].candidates, best_sets(many, 3)[2].candidates);
}

}  // namespace best_sets_test
}  // namespace ampturn::site_set
