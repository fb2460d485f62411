#include "scheduler/rehearse/question/question_allocation.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "scheduler/run/counter_random.hpp"

namespace question_allocation_test {

using namespace ampturn;
using namespace ampturn::rehearse::question;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Data that each see two of the steps, and two uncertain parameters.
QuestionDemand some_demand(std::uint64_t which, std::size_t steps, double quantum_s, bool depth) {
    const run::CounterRandom random(12, which);
    std::uint64_t next = 0;
    const auto between = [&](double low, double high) {
        return low * std::pow(high / low, random.uniform(next++));
    };
    QuestionDemand demand{.steps = {}, .data = {}, .sought = {}};
    for (std::size_t k = 0; k < steps; ++k) demand.steps.push_back({1, 12, between(5, 200), quantum_s});
    const auto count = static_cast<Index>(4 * steps);
    for (Index i = 0; i < count; ++i)
        demand.data.push_back({.steady = between(1e-4, 1e-3),
                               .step_a = static_cast<std::size_t>(i) % steps,
                               .step_b = static_cast<std::size_t>(i + 1) % steps,
                               .a_s = between(1e-4, 1e-1),
                               .b_s = between(1e-4, 1e-1)});
    const auto normals = [&](Index rows, Index columns, double scale) {
        MatrixXd m(rows, columns);
        for (double& x : m.reshaped()) x = scale * random.normal(next++);
        return m;
    };
    if (depth)
        demand.sought = DepthSought{.jacobian = normals(count, 3, 0.2),
                                    .prior_sd = VectorXd::Ones(3),
                                    .slope = VectorXd::Constant(3, 20),
                                    .within_m = 2};
    else
        demand.sought = TwoGrounds{.data_0 = VectorXd::Zero(count),
                                   .data_1 = normals(count, 1, 0.05),
                                   .jacobian_0 = normals(count, 2, 0.2),
                                   .jacobian_1 = normals(count, 2, 0.2),
                                   .prior_sd_0 = VectorXd::Constant(2, 0.3),
                                   .prior_sd_1 = VectorXd::Constant(2, 0.3)};
    return demand;
}

double distance2(const QuestionDemand& demand, const std::vector<double>& dwells) {
    return separation(demand.sought, variances_at(demand, dwells)).distance2;
}
double seconds(const std::vector<double>& dwells) {
    return std::accumulate(dwells.begin(), dwells.end(), 0.0);
}
double joules(const QuestionDemand& demand, const std::vector<double>& dwells) {
    double sum = 0;
    for (std::size_t k = 0; k < dwells.size(); ++k) sum += demand.steps[k].watts * dwells[k];
    return sum;
}
/// Budgets between the shortest and the longest dwells; a share of 1 is the longest.
tune::AllocationBudget budgets(const QuestionDemand& demand, double time_share, double energy_share) {
    const std::vector<double> low(demand.steps.size(), 1), high(demand.steps.size(), 12);
    return {std::lerp(seconds(low), seconds(high), time_share),
            std::lerp(joules(demand, low), joules(demand, high), energy_share)};
}

TEST(QuestionAllocation, SlopesAreTheDifferenceQuotients) {
    // Independent: difference quotients against derivatives.
    for (const bool depth : {false, true}) {
        const QuestionDemand demand = some_demand(1, 5, 1e-6, depth);
        const std::vector<double> dwells{2, 3, 5, 7, 11};
        const auto slopes =
            dwell_slopes(demand, separation(demand.sought, variances_at(demand, dwells)), dwells);
        for (std::size_t k = 0; k < dwells.size(); ++k) {
            auto more = dwells, less = dwells;
            more[k] *= 1 + 1e-5;
            less[k] *= 1 - 1e-5;
            const double quotient = (distance2(demand, more) - distance2(demand, less)) / (more[k] - less[k]);
            // Central differences: truncation 1e-10, rounding 1e-16/1e-5.
            EXPECT_NEAR(slopes[k], quotient, 1e-7 * std::abs(quotient) + 1e-9 * distance2(demand, dwells));
        }
    }
}

TEST(QuestionAllocation, IsTheClosedFormOfTwoSteps) {
    // Independent data, nothing uncertain: maximise sum of d^2 T/(c T + a), equal prices. Lagrange:
    // d sqrt(a)/(c T + a) equal for both, T_k = (d_k sqrt(a_k) x - a_k)/c, x from the sum of the dwells.
    const double d[] = {0.3, 0.2}, a[] = {0.5, 0.9}, c = 0.01, total = 150;
    QuestionDemand demand{.steps = {{1, 200, 50, 1e-9}, {1, 200, 50, 1e-9}},
                          .data = {{c, 0, 0, a[0], 0}, {c, 1, 1, a[1], 0}},
                          .sought = TwoGrounds{.data_0 = VectorXd::Zero(2),
                                               .data_1 = VectorXd{{d[0], d[1]}},
                                               .jacobian_0 = MatrixXd::Zero(2, 1),
                                               .jacobian_1 = MatrixXd::Zero(2, 1),
                                               .prior_sd_0 = VectorXd::Ones(1),
                                               .prior_sd_1 = VectorXd::Ones(1)}};
    const double x = (c * total + a[0] + a[1]) / (d[0] * std::sqrt(a[0]) + d[1] * std::sqrt(a[1]));
    const auto found = allocate_for_question(demand, {.time_s = total, .energy_j = {}});
    ASSERT_TRUE(found);
    // The maximum is flat: a share of 1e-8 of D2 leaves 1e-4 of the dwells.
    EXPECT_NEAR(found->dwells_s[0], (d[0] * std::sqrt(a[0]) * x - a[0]) / c, 0.02);
    EXPECT_NEAR(found->dwells_s[1], (d[1] * std::sqrt(a[1]) * x - a[1]) / c, 0.02);
}

TEST(QuestionAllocation, FulfilsTheConditionsOfOptimality) {
    // Karush-Kuhn-Tucker (Boyd & Vandenberghe 2004, ch. 5): slope = price of a second within the bounds, at
    // most that at the lower, at least that at the upper. One budget at a time, so that the price is read off.
    for (const bool depth : {false, true})
        for (std::uint64_t which = 1; which <= 6; ++which) {
            const QuestionDemand demand = some_demand(which, 8, 1e-9, depth);
            for (const bool time : {true, false}) {
                tune::AllocationBudget budget = budgets(demand, 0.4, 0.3);
                (time ? budget.energy_j : budget.time_s).reset();
                const auto found = allocate_for_question(demand, budget);
                ASSERT_TRUE(found);
                EXPECT_LE(found->distance2, found->distance2_limit);
                EXPECT_GT(found->distance2, found->distance2_limit * (1 - 1e-6));
                const auto& dwells = found->dwells_s;
                const auto slopes =
                    dwell_slopes(demand, separation(demand.sought, variances_at(demand, dwells)), dwells);
                double price = 0;
                int inside = 0;
                const auto paid = [&](std::size_t k) {
                    return slopes[k] / (time ? 1 : demand.steps[k].watts);
                };
                for (std::size_t k = 0; k < dwells.size(); ++k)
                    if (dwells[k] > 1 + 1e-6 && dwells[k] < 12 - 1e-6) {
                        price += paid(k);
                        ++inside;
                    }
                ASSERT_GT(inside, 0);
                price /= inside;
                for (std::size_t k = 0; k < dwells.size(); ++k) {
                    // D2 within 1e-8 of the maximum: slopes to about its root.
                    if (dwells[k] > 1 + 1e-6) {
                        EXPECT_GE(paid(k), price * (1 - 2e-3));
                    }
                    if (dwells[k] < 12 - 1e-6) {
                        EXPECT_LE(paid(k), price * (1 + 2e-3));
                    }
                }
            }
        }
}

TEST(QuestionAllocation, NoDwellsDrawnAtRandomPassTheLimit) {
    const run::CounterRandom random(3, 8);
    std::uint64_t next = 0;
    for (std::uint64_t which = 1; which <= 4; ++which) {
        const QuestionDemand demand = some_demand(which, 6, 1e-6, which % 2 == 0);
        const auto budget = budgets(demand, 0.5, 0.4);
        const auto found = allocate_for_question(demand, budget);
        ASSERT_TRUE(found);
        EXPECT_LE(seconds(found->dwells_s), *budget.time_s * (1 + 1e-9));
        EXPECT_LE(joules(demand, found->dwells_s), *budget.energy_j * (1 + 1e-9));
        for (int draw = 0; draw < 2000; ++draw) {
            // Half at random, half about the dwells found.
            std::vector<double> dwells(6);
            for (std::size_t k = 0; k < dwells.size(); ++k)
                dwells[k] =
                    draw % 2 == 0
                        ? std::lerp(1.0, 12.0, random.uniform(next++))
                        : std::clamp(found->dwells_s[k] * (0.9 + 0.2 * random.uniform(next++)), 1.0, 12.0);
            if (seconds(dwells) > *budget.time_s || joules(demand, dwells) > *budget.energy_j) continue;
            EXPECT_LE(distance2(demand, dwells), found->distance2_limit);
        }
    }
}

TEST(QuestionAllocation, WholeRecordsAreTheBestOfAll) {
    // Brute force: every dwell of whole records of a second, three steps.
    for (std::uint64_t which = 1; which <= 12; ++which) {
        const QuestionDemand demand = some_demand(which, 3, 1, which % 3 == 0);
        const auto budget = budgets(demand, 0.5, 0.45);
        const auto found = allocate_for_question(demand, budget);
        ASSERT_TRUE(found);
        double best = 0;
        for (double a = 1; a <= 12; ++a)
            for (double b = 1; b <= 12; ++b)
                for (double c = 1; c <= 12; ++c) {
                    const std::vector<double> dwells{a, b, c};
                    if (seconds(dwells) > *budget.time_s || joules(demand, dwells) > *budget.energy_j)
                        continue;
                    best = std::max(best, distance2(demand, dwells));
                }
        for (const double t : found->dwells_s) EXPECT_EQ(t, std::round(t));
        EXPECT_LE(found->distance2, best * (1 + 1e-12));
        EXPECT_GE(found->distance2, best * (1 - 1e-6)) << which;
        EXPECT_LE(best, found->distance2_limit);
    }
}

TEST(QuestionAllocation, MoreBudgetNeverTellsLess) {
    for (std::uint64_t which = 1; which <= 4; ++which) {
        const QuestionDemand demand = some_demand(which, 6, 1e-9, which % 2 == 0);
        for (const bool time : {true, false}) {
            double previous = 0;
            for (const double share : {0.0, 0.02, 0.1, 0.3, 0.6, 0.9, 1.0}) {
                const auto found = allocate_for_question(
                    demand, time ? budgets(demand, share, 0.5) : budgets(demand, 0.5, share));
                ASSERT_TRUE(found);
                EXPECT_GE(found->distance2, previous * (1 - 1e-7)) << share;
                previous = found->distance2;
            }
        }
        EXPECT_FALSE(allocate_for_question(demand, budgets(demand, -0.01, 0.5)));
        EXPECT_FALSE(allocate_for_question(demand, budgets(demand, 0.5, -0.01)));
    }
}

TEST(QuestionAllocation, NeverFallsBelowWhereItStarts) {
    for (std::uint64_t which = 1; which <= 6; ++which) {
        const QuestionDemand demand = some_demand(which, 6, 1e-6, which % 2 == 0);
        const std::vector<double> start{3, 5, 2, 7, 4, 6};
        const auto found = allocate_for_question(demand, {seconds(start), joules(demand, start)}, start);
        ASSERT_TRUE(found);
        EXPECT_GT(found->distance2, distance2(demand, start));
        const auto on_three =
            allocate_for_question(demand, {seconds(start), joules(demand, start)}, start, 3);
        EXPECT_EQ(on_three->dwells_s, found->dwells_s) << "threads do not show";
    }
}

}  // namespace question_allocation_test
