#include "scheduler/rehearse/question.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace ampturn::rehearse;
using Eigen::MatrixXd;
using Eigen::VectorXd;

double normal_cdf(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

TwoGrounds apart(double step, int count) {
    return {.data_0 = VectorXd::Zero(count),
            .data_1 = VectorXd::Constant(count, step),
            .jacobian_0 = MatrixXd::Zero(count, 1),
            .jacobian_1 = MatrixXd::Zero(count, 1),
            .prior_sd_0 = VectorXd::Ones(1),
            .prior_sd_1 = VectorXd::Ones(1),
            .variance = VectorXd::Constant(count, 0.04),
            .natural_variance = VectorXd::Zero(count),
            .natural_sd_ln = 0};
}

TEST(TellApart, IsTheClosedFormOfTwoGaussians) {
    // Phi(D/2), and Phi(D/2 - ln(c/(1-c))/D) for a posterior of c (Kay 1998, from memory). 4000 draws:
    // binomial standard deviation below 0.8 %.
    for (const double step : {0.02, 0.1, 0.2}) {
        const auto odds = tell_apart(apart(step, 10), 0.95, 2000, 3);
        const double distance = step * std::sqrt(10.0) / 0.2;
        EXPECT_NEAR(odds.distance, distance, 1e-12);
        EXPECT_NEAR(odds.probability_right, normal_cdf(distance / 2), 0.025) << step;
        EXPECT_NEAR(odds.probability_confident, normal_cdf(distance / 2 - std::log(0.95 / 0.05) / distance),
                    0.025)
            << step;
    }
}

TEST(TellApart, UncertainHostTakesAwayWhatItCanImitate) {
    // The difference lies along what one uncertain parameter does: distance^2 = D^2/(1 + s^2 j'j/v), closed
    // form (Sherman & Morrison 1950).
    TwoGrounds grounds = apart(0.2, 10);
    grounds.jacobian_0 = grounds.jacobian_1 = MatrixXd::Constant(10, 1, 0.2);
    grounds.prior_sd_0 = grounds.prior_sd_1 = VectorXd::Constant(1, 3);
    const auto odds = tell_apart(grounds, 0.95, 2000, 4);
    const double free = 10 * 0.2 * 0.2 / 0.04, distance = std::sqrt(free / (1 + 9 * free));
    EXPECT_NEAR(odds.distance, distance, 1e-12);
    EXPECT_NEAR(odds.probability_right, normal_cdf(distance / 2), 0.025);
}

TEST(TellApart, NoiseThatVariesBlursButDoesNotBias) {
    TwoGrounds grounds = apart(0.1, 10);
    grounds.natural_variance = grounds.variance;
    const auto steady = tell_apart(grounds, 0.9, 3000, 5);
    grounds.natural_sd_ln = 1.5;
    const auto varying = tell_apart(grounds, 0.9, 3000, 5);
    EXPECT_EQ(steady.distance, varying.distance);
    EXPECT_NEAR(steady.probability_right, varying.probability_right, 0.1);
    EXPECT_EQ(tell_apart(grounds, 0.9, 200, 5).probability_right,
              tell_apart(grounds, 0.9, 200, 5).probability_right);
}

}  // namespace
