#include "scheduler/tune/dwell_allocation.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

#include "scheduler/tune/tune_budget.hpp"

namespace ampturn::tune {
namespace dwell_allocation_test {

constexpr DwellBounds wide{1e-9, 1e9, 1e-9, 1e9};

double cost_of(const DwellPrice& price, const DwellPair& d) {
    return price.per_second_a * d.a_s + price.per_second_b * d.b_s;
}

/// A number from 10^low to 10^high.
rc::Gen<double> between(double low, double high) {
    return rc::gen::map(rc::gen::inRange(0, 1'000'001),
                        [=](int i) { return std::pow(10, low + (high - low) * i / 1e6); });
}
std::vector<DwellRequirement> some_requirements(int most) {
    std::vector<DwellRequirement> out;
    const int count = *rc::gen::inRange(1, most + 1);
    for (int i = 0; i < count; ++i) out.push_back({*between(-1, 2), *between(-1, 2)});
    return out;
}

/// Source: Lagrange's condition by hand: with a = b = 1 and prices 1 and 4, T_A = 1 + 2, T_B = 1 + 1/2.
TEST(CheapestDwells, ClosedFormOfOneRequirement) {
    // Closed form, as above.
    const auto best = cheapest_dwells({{1, 1}}, {1, 4}, wide);
    ASSERT_TRUE(best);
    EXPECT_NEAR(best->a_s, 3, 1e-12);
    EXPECT_NEAR(best->b_s, 1.5, 1e-12);
    const auto relaxed =
        cheapest_dwells({{1, 1}}, {1, 4}, wide, 2);  // errors twice as large: a quarter of the time
    EXPECT_NEAR(relaxed->a_s, 0.75, 1e-12);
    EXPECT_NEAR(relaxed->b_s, 0.375, 1e-12);
}

TEST(Allocate, TimeAndEnergyAreSumsOverAllFrequencies) {
    // Closed form: 1 + 2 + 3 + 4 + 5 + 6 s; 10 * 1 + 20 * 2 + 30 * 3 + 40 * 4 + 50 * 5 + 60 * 6 J.
    std::vector<AllocationItem> items(3);
    for (std::size_t i = 0; i < 3; ++i) {
        items[i].watts_a = 10 * (2 * static_cast<double>(i) + 1);
        items[i].watts_b = 10 * (2 * static_cast<double>(i) + 2);
    }
    const std::vector<DwellPair> dwells{{1, 2}, {3, 4}, {5, 6}};
    EXPECT_EQ(time_of(dwells), 21);
    EXPECT_EQ(energy_of(items, dwells), 910);
    EXPECT_EQ(rounded_up(2.0, 0.5), 2.0);
    EXPECT_EQ(rounded_up(2.0001, 0.5), 2.5);
    EXPECT_EQ(rounded_up(2.4999, 0.5), 2.5);
}

TEST(Allocate, TimeFirstCountsSecondsAloneAndEnergyFirstJoulesAlone) {
    // Closed form: Lagrange's condition for 1/T_A + 1/T_B = 1: T_A = 1 + sqrt(w_B/w_A), T_B = 1 + sqrt(w_A/w_B), w what a second costs.
    AllocationItem item{};
    item.requirements = {{1, 1}};
    item.bounds = wide;
    item.quantum_a_s = item.quantum_b_s = 1e-6;
    item.watts_a = 4;
    item.watts_b = 100;
    const auto in_time = allocate({item}, {}, false), in_energy = allocate({item}, {}, true);
    ASSERT_TRUE(in_time && in_energy);
    EXPECT_NEAR(in_time->dwells[0].a_s, 2, 2e-6);
    EXPECT_NEAR(in_time->dwells[0].b_s, 2, 2e-6);
    EXPECT_NEAR(in_energy->dwells[0].a_s, 6, 2e-6);
    EXPECT_NEAR(in_energy->dwells[0].b_s, 1.2, 2e-6);
}

TEST(CheapestDwells, ARequirementSaidTwiceIsTheSame) {
    // Closed form, as above: errors half as large take four times as long.
    for (const double relaxation : {0.5, 1.0, 2.0}) {
        const auto best = cheapest_dwells({{1, 1}, {1, 1}, {0.5, 1}}, {1, 4}, wide, relaxation);
        ASSERT_TRUE(best);
        EXPECT_NEAR(best->a_s, 3 / (relaxation * relaxation), 1e-9);
        EXPECT_NEAR(best->b_s, 1.5 / (relaxation * relaxation), 1e-9);
    }
}

TEST(CheapestDwells, BoundsAndOneSidedRequirements) {
    // Closed form, by hand.
    const auto none = cheapest_dwells({}, {1, 1}, {2, 100, 3, 100});
    EXPECT_EQ(none->a_s, 2);
    EXPECT_EQ(none->b_s, 3);
    const auto only_a = cheapest_dwells({{7, 0}}, {1, 1}, {2, 100, 3, 100});
    EXPECT_NEAR(only_a->a_s, 7, 1e-12);
    EXPECT_NEAR(only_a->b_s, 3, 1e-12);
    const auto clipped =
        cheapest_dwells({{1, 1}}, {1, 4}, {1e-9, 2, 1e-9, 1e9});  // T_A at most 2: then T_B = 2
    EXPECT_NEAR(clipped->a_s, 2, 1e-9);
    EXPECT_NEAR(clipped->b_s, 2, 1e-9);
    EXPECT_FALSE(cheapest_dwells({{10, 10}}, {1, 1}, {1, 15, 1, 15}));
    EXPECT_NEAR(least_relaxation({{10, 10}}, {1, 15, 1, 15}), std::sqrt(20.0 / 15), 1e-12);
    EXPECT_FALSE(cheapest_dwells({{std::numeric_limits<double>::infinity(), 1}}, {1, 1}, wide));
}

/// Optimality (Boyd & Vandenberghe 2004, 5.5.3): feasible, and the gradient of the cost is a combination with
/// weights >= 0 of the active requirements' gradients.
RC_GTEST_PROP(CheapestDwells, FulfilTheOptimalityConditions, ()) {
    const auto requirements = some_requirements(8);
    const DwellPrice price{*between(-1, 1), *between(-1, 1)};
    const auto best = cheapest_dwells(requirements, price, wide);
    RC_ASSERT(best.has_value());
    RC_ASSERT(std::fabs(relaxation_of(requirements, *best) - 1) < 1e-9);
    const double u = 1 / best->a_s, v = 1 / best->b_s;
    // Direction of steepest fall of the cost in (u, v); it must lie between the active normals.
    const double angle = std::atan2(price.per_second_b / (v * v), price.per_second_a / (u * u));
    double lowest = 10, highest = -10;
    for (const DwellRequirement& r : requirements)
        if (std::fabs(r.a_s * u + r.b_s * v - 1) < 1e-9) {
            lowest = std::min(lowest, std::atan2(r.b_s, r.a_s));
            highest = std::max(highest, std::atan2(r.b_s, r.a_s));
        }
    RC_ASSERT(lowest - 1e-6 <= angle && angle <= highest + 1e-6);
}

/// Independent: a search over a fine grid of T_A, T_B following from the requirements.
RC_GTEST_PROP(CheapestDwells, NoGridPointIsCheaper, ()) {
    const auto requirements = some_requirements(4);
    const DwellPrice price{*between(-1, 1), *between(-1, 1)};
    const DwellBounds bounds{*between(-2, 0), *between(2, 4), *between(-2, 0), *between(2, 4)};
    const auto best = cheapest_dwells(requirements, price, bounds);
    double cheapest = std::numeric_limits<double>::infinity();
    for (int i = 0; i <= 4000; ++i) {
        const double a_s = bounds.lower_a_s * std::pow(bounds.upper_a_s / bounds.lower_a_s, i / 4000.0);
        double b_s = bounds.lower_b_s;
        for (const DwellRequirement& r : requirements) {
            const double left = 1 - r.a_s / a_s;
            b_s = left > 0 ? std::max(b_s, r.b_s / left) : std::numeric_limits<double>::infinity();
        }
        if (b_s <= bounds.upper_b_s) cheapest = std::min(cheapest, cost_of(price, {a_s, b_s}));
    }
    if (!best) {
        RC_ASSERT(std::isinf(cheapest));
        return;
    }
    RC_ASSERT(cost_of(price, *best) <= cheapest * (1 + 1e-9));
    RC_ASSERT(relaxation_of(requirements, *best) <= 1 + 1e-9);
    if (std::isfinite(cheapest)) RC_ASSERT(cheapest <= cost_of(price, *best) * 1.02);  // the grid comes close
}

std::vector<AllocationItem> some_items() {
    std::vector<AllocationItem> items;
    const int count = *rc::gen::inRange(1, 6);
    for (int i = 0; i < count; ++i) {
        AllocationItem item{
            some_requirements(4), {0.5, 1e4, 0.5, 1e4}, *between(0, 2), *between(0, 2), 0.25, 0.25};
        items.push_back(item);
    }
    return items;
}

RC_GTEST_PROP(Allocate, MeetsTargetsWithoutBudgetsInWholeQuanta, ()) {
    const auto items = some_items();
    const auto allocation = allocate(items, {}, true);
    RC_ASSERT(allocation.has_value());
    RC_ASSERT(allocation->relaxation == 1);
    for (std::size_t i = 0; i < items.size(); ++i) {
        RC_ASSERT(relaxation_of(items[i].requirements, allocation->dwells[i]) <= 1 + 1e-9);
        for (const double dwell : {allocation->dwells[i].a_s, allocation->dwells[i].b_s})
            RC_ASSERT(std::fabs(dwell / 0.25 - std::round(dwell / 0.25)) < 1e-9);
    }
}

RC_GTEST_PROP(Allocate, KeepsBudgetsAndRelaxesNoMoreThanNeeded, ()) {
    const auto items = some_items();
    const auto free_run = allocate(items, {}, true);
    const double share = *between(-0.6, 0.2);
    AllocationBudget budget;
    if (*rc::gen::arbitrary<bool>()) budget.time_s = share * time_of(free_run->dwells);
    if (*rc::gen::arbitrary<bool>()) budget.energy_j = share * energy_of(items, free_run->dwells);
    const auto kept = allocate(items, budget, *rc::gen::arbitrary<bool>());
    if (!kept) {  // even the shortest dwells overrun
        std::vector<DwellPair> shortest(items.size(), {0.5, 0.5});
        RC_ASSERT((budget.time_s && time_of(shortest) > *budget.time_s) ||
                  (budget.energy_j && energy_of(items, shortest) > *budget.energy_j));
        return;
    }
    RC_ASSERT(!budget.time_s || time_of(kept->dwells) <= *budget.time_s * (1 + 1e-12));
    RC_ASSERT(!budget.energy_j || energy_of(items, kept->dwells) <= *budget.energy_j * (1 + 1e-12));
    for (std::size_t i = 0; i < items.size(); ++i)
        RC_ASSERT(relaxation_of(items[i].requirements, kept->dwells[i]) <= kept->relaxation * (1 + 1e-9));
    // Monotone: a larger budget never needs more relaxation.
    AllocationBudget larger;
    if (budget.time_s) larger.time_s = 1.3 * *budget.time_s;
    if (budget.energy_j) larger.energy_j = 1.3 * *budget.energy_j;
    const auto easier = allocate(items, larger, true);
    RC_ASSERT(easier.has_value());
    RC_ASSERT(easier->relaxation <= kept->relaxation * (1 + 1e-6));
}

/// Brute force over whole quanta, two frequencies: no allocation within the time budget has a smaller worst
/// error bar than the common relaxation says, but for what rounding up costs.
TEST(Allocate, BruteForceOfTwoFrequencies) {
    const std::vector<AllocationItem> items{{{{3, 1}, {1, 4}}, {1, 40, 1, 40}, 10, 20, 1, 1},
                                            {{{2, 2}}, {1, 40, 1, 40}, 15, 5, 1, 1}};
    for (const double budget_s : {10.0, 14.0, 18.0, 25.0}) {
        double least = std::numeric_limits<double>::infinity();
        for (int a = 1; a < 30; ++a)
            for (int b = 1; b < 30; ++b)
                for (int c = 1; c < 30; ++c)
                    for (int d = 1; a + b + c + d <= budget_s && d < 30; ++d)
                        least = std::min(
                            least, std::max(relaxation_of(items[0].requirements, {double(a), double(b)}),
                                            relaxation_of(items[1].requirements, {double(c), double(d)})));
        const auto found = allocate(items, {.time_s = budget_s, .energy_j = {}}, false);
        ASSERT_TRUE(found);
        double worst = 0;
        for (std::size_t i = 0; i < 2; ++i)
            worst = std::max(worst, relaxation_of(items[i].requirements, found->dwells[i]));
        EXPECT_LE(std::max(1.0, least), std::max(1.0, worst) + 1e-12);
        EXPECT_LE(worst, found->relaxation + 1e-9);
        // Rounding up moves each of the four dwells by less than a quantum.
        const auto finer = allocate({{items[0].requirements, items[0].bounds, 10, 20, 1e-6, 1e-6},
                                     {items[1].requirements, items[1].bounds, 15, 5, 1e-6, 1e-6}},
                                    {.time_s = budget_s, .energy_j = {}}, false);
        EXPECT_LE(finer->relaxation, std::max(1.0, least) + 1e-6)
            << "the optimum without rounding is no worse than any whole one";
    }
}

}  // namespace dwell_allocation_test
}  // namespace ampturn::tune
