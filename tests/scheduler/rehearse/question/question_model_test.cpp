#include "scheduler/rehearse/question/question_model.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace question_model_test {

using namespace ampturn::rehearse::question;
using Eigen::MatrixXd;
using Eigen::VectorXd;

double normal_cdf(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

struct Case {
    TwoGrounds grounds;
    DataNoise noise;
};

Case apart(double step, int count) {
    return {.grounds = {.data_0 = VectorXd::Zero(count),
                        .data_1 = VectorXd::Constant(count, step),
                        .jacobian_0 = MatrixXd::Zero(count, 1),
                        .jacobian_1 = MatrixXd::Zero(count, 1),
                        .prior_sd_0 = VectorXd::Ones(1),
                        .prior_sd_1 = VectorXd::Ones(1)},
            .noise = {.variance = VectorXd::Constant(count, 0.04),
                      .natural_variance = VectorXd::Zero(count),
                      .natural_sd_ln = 0}};
}

double distance(const Case& c) {
    return std::sqrt(separation(c.grounds, c.noise.variance + c.noise.natural_variance).distance2);
}

TEST(TellApart, IsTheClosedFormOfTwoGaussians) {
    // Closed form, met by Monte Carlo:
    // Phi(D/2), and Phi(D/2 - ln(c/(1-c))/D) for a posterior of c (Kay 1998, from memory). 4000 draws:
    // binomial standard deviation below 0.8 %.
    for (const double step : {0.02, 0.1, 0.2}) {
        const Case c = apart(step, 10);
        const Odds found = odds(c.grounds, c.noise, 0.95, {2000, 3});
        const double expected = step * std::sqrt(10.0) / 0.2;
        EXPECT_NEAR(distance(c), expected, 1e-12);
        EXPECT_NEAR(found.probability_right, normal_cdf(expected / 2), 0.025) << step;
        EXPECT_NEAR(found.probability_confident, normal_cdf(expected / 2 - std::log(0.95 / 0.05) / expected),
                    0.025)
            << step;
        EXPECT_DOUBLE_EQ(information_nats(c.grounds, expected * expected), expected * expected / 2);
        EXPECT_NEAR(information_alone_nats(c.grounds, c.noise.variance), expected * expected / 2, 1e-12);
    }
}

TEST(TellApart, UncertainHostTakesAwayWhatItCanImitate) {
    // The difference lies along what one uncertain parameter does: distance^2 = D^2/(1 + s^2 j'j/v), closed
    // form (Sherman & Morrison 1950).
    Case c = apart(0.2, 10);
    c.grounds.jacobian_0 = c.grounds.jacobian_1 = MatrixXd::Constant(10, 1, 0.2);
    c.grounds.prior_sd_0 = c.grounds.prior_sd_1 = VectorXd::Constant(1, 3);
    const Odds found = odds(c.grounds, c.noise, 0.95, {2000, 4});
    const double free = 10 * 0.2 * 0.2 / 0.04, expected = std::sqrt(free / (1 + 9 * free));
    EXPECT_NEAR(distance(c), expected, 1e-12);
    EXPECT_NEAR(found.probability_right, normal_cdf(expected / 2), 0.025);
}

TEST(TellApart, AnErrorThatDataShareTakesAwayWhatItCanImitate) {
    // Closed form (Sherman & Morrison 1950): data with one error in common, along the difference, s^2 = 9 * 0.04; half
    // of them: sums of two groups. Independent besides: the same error as an uncertain parameter of the host.
    Case c = apart(0.2, 10), as_parameter = c;
    c.grounds.shared = {{.data = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, .variance = 0.36}};
    as_parameter.grounds.jacobian_0 = as_parameter.grounds.jacobian_1 = MatrixXd::Constant(10, 1, 0.2);
    as_parameter.grounds.prior_sd_0 = as_parameter.grounds.prior_sd_1 = VectorXd::Constant(1, 3);
    const double free = 10 * 0.2 * 0.2 / 0.04, expected = std::sqrt(free / (1 + 9 * free));
    EXPECT_NEAR(distance(c), expected, 1e-12);
    EXPECT_NEAR(distance(as_parameter), expected, 1e-12);
    EXPECT_NEAR(information_alone_nats(c.grounds, c.noise.variance), expected * expected / 2, 1e-12);
    const Odds found = odds(c.grounds, c.noise, 0.95, {2000, 4});
    EXPECT_NEAR(found.probability_right, normal_cdf(expected / 2), 0.025);
    c.grounds.shared.front().data = {0, 2, 4, 6, 8};
    const double half = free / 2;
    EXPECT_NEAR(distance(c), std::sqrt(half + half / (1 + 9 * half)), 1e-12);
    // The slope is minus the derivative.
    const VectorXd slope = separation(c.grounds, c.noise.variance).slope;
    for (const Eigen::Index i : {0, 1}) {
        VectorXd more = c.noise.variance;
        more[i] += 1e-7;
        EXPECT_NEAR(
            (separation(c.grounds, c.noise.variance).distance2 - separation(c.grounds, more).distance2) /
                1e-7,
            slope[i], 1e-4 * slope[i]);
    }
    DepthSought depth{.jacobian = MatrixXd::Constant(10, 1, 0.3),
                      .prior_sd = VectorXd::Constant(1, 0.5),
                      .slope = VectorXd::Constant(1, 30),
                      .within_m = 3,
                      .shared = {{.data = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, .variance = 0.01}}};
    const double information = 0.09 / (0.04 / 10 + 0.01) + 4;
    EXPECT_NEAR(separation(depth, VectorXd::Constant(10, 0.04)).distance2, 9 * information / 900, 1e-12);
}

TEST(TellApart, NoiseThatVariesBlursButDoesNotBias) {
    // Identity within Monte Carlo scatter: the same mean noise.
    Case c = apart(0.1, 10);
    c.noise.natural_variance = c.noise.variance;
    const Odds steady = odds(c.grounds, c.noise, 0.9, {3000, 5});
    c.noise.natural_sd_ln = 1.5;
    const Odds varying = odds(c.grounds, c.noise, 0.9, {3000, 5});
    EXPECT_NEAR(steady.probability_right, varying.probability_right, 0.1);
    EXPECT_EQ(odds(c.grounds, c.noise, 0.9, {200, 5}).probability_right,
              odds(c.grounds, c.noise, 0.9, {.runs = 200, .seed = 5, .threads = 3}).probability_right);
}

TEST(Discrimination, ADatumWithInfiniteVarianceIsNotThere) {
    // Identity: five data are five data.
    const Case five = apart(0.1, 5);
    Case ten = apart(0.1, 10);
    ten.noise.variance.tail(5).setConstant(std::numeric_limits<double>::infinity());
    EXPECT_DOUBLE_EQ(distance(ten), distance(five));
}

TEST(Discrimination, OfADepthIsTheLeastSquaresDeviation) {
    // One parameter, n equal data: 1/sd^2 = n j^2/v + 1/s^2, closed form.
    const DepthSought depth{.jacobian = MatrixXd::Constant(10, 1, 0.3),
                            .prior_sd = VectorXd::Constant(1, 0.5),
                            .slope = VectorXd::Constant(1, 30),
                            .within_m = 3};
    const double variance = 1 / (10 * 0.09 / 0.04 + 4);
    EXPECT_NEAR(separation(depth, VectorXd::Constant(10, 0.04)).distance2, 9 / (900 * variance), 1e-12);
    // ln of prior over posterior deviation.
    EXPECT_NEAR(information_nats(depth, 9 / (900 * variance)), 0.5 * std::log(0.25 / variance), 1e-12);
    const Odds found = odds(depth, {VectorXd::Constant(10, 0.04), VectorXd::Zero(10), 0}, 0.6, {10, 1});
    EXPECT_NEAR(found.probability_right, std::erf(3 / (30 * std::sqrt(variance)) / std::sqrt(2.0)), 1e-12);
}

}  // namespace question_model_test
