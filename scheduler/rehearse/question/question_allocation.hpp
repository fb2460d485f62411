#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>
#include <vector>

#include "scheduler/rehearse/question/question_model.hpp"
#include "scheduler/tune/tune_budget.hpp"

namespace ampturn::rehearse::question {

/// Dwells that make the squared distance between the answers largest within budgets of time and energy.
///
/// The variance of each datum is steady + a/T_A + b/T_B: what it tells saturates with dwell. 1/variance is
/// concave in the dwells and the squared distance D2 is concave and rising in 1/variance, so D2 is concave in
/// the dwells: a local maximum is the maximum. Because D2 = max over u of 2 u'd - u'C u, the dwells for a
/// given u minimise a sum of q/T with q = sum of u^2 a (optimal allocation, Neyman 1934), which has a closed
/// form for given prices of time and energy; taking u and the dwells in turns never falls and ends at the
/// maximum. How far away that can still be is read from the slope and the prices (Frank & Wolfe 1956; weak
/// duality, Boyd & Vandenberghe 2004, ch. 5).

struct DwellStep {
    double lower_s, upper_s;  // 0 < lower <= upper, whole quanta
    double watts;             // > 0
    double quantum_s;         // > 0
};

/// steady + a_s/T[step_a] + b_s/T[step_b].
struct DatumTerms {
    double steady;  // > 0
    std::size_t step_a, step_b;
    double a_s, b_s;  // >= 0, finite
};

struct QuestionDemand {
    std::vector<DwellStep> steps;
    std::vector<DatumTerms> data;
    Hypotheses sought;
};

Eigen::VectorXd variances_at(const QuestionDemand& demand, const std::vector<double>& dwells_s);
/// d D2 / d T, step by step.
std::vector<double> dwell_slopes(const QuestionDemand& demand, const Discrimination& at,
                                 const std::vector<double>& dwells_s);

struct QuestionAllocation {
    std::vector<double> dwells_s;  // whole quanta, within bounds and budgets
    double distance2;              // that these dwells reach
    double distance2_limit;        // that no dwells within bounds and budgets can pass, whole quanta or not
    int rounds;                    // turns taken
};
/// `start_s`: where the climb begins when it lies within bounds and budgets (not worse than it but for rounding to
/// whole quanta). Whole quanta: rounded down, what is left given where it helps most, then a few quanta of a step
/// taken back and given to others while that helps. Empty when even the lower bounds overrun a budget. Deterministic,
/// whatever the threads.
std::optional<QuestionAllocation> allocate_for_question(const QuestionDemand& demand,
                                                        const tune::AllocationBudget& budget,
                                                        const std::vector<double>& start_s = {},
                                                        unsigned threads = 1);

}  // namespace ampturn::rehearse::question
