#include "model/inversion/layer_choice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <stdexcept>

#include "model/inversion/sounding_forward.hpp"
#include "tests/model/ground/layered.hpp"

namespace layer_choice_test {

using namespace ampturn::model::ground;
using namespace ampturn::model::inversion;
using Eigen::VectorXd;

std::vector<double> frequencies() {
    std::vector<double> hz;
    for (int i = 0; i < 14; ++i) hz.push_back(300 * std::pow(150.0, i / 13.0));
    return hz;
}

/// Plane-wave data of a ground with Gaussian errors: 2 % of rho_a, half of it in phase.
InversionData noisy(const LayeredEarth& earth, unsigned seed) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    const auto unknowns = Unknowns::resistivities;
    const VectorXd exact =
        plane_wave_forward(frequencies(), earth, unknowns)(parameters_of(earth, unknowns), false).value;
    InversionData data{.value = exact, .sd = VectorXd(exact.size())};
    for (Eigen::Index i = 0; i < exact.size(); ++i) {
        data.sd[i] = i % 2 == 0 ? 0.02 : 0.01;
        data.value[i] += data.sd[i] * normal(random);
    }
    return data;
}

LayerChoice choice_for(const InversionData& data) {
    const auto smooth_unknowns = Unknowns::resistivities;
    const LayeredEarth layering = smooth_layering(2, 800, 22, 100, 10);
    const InversionResult smooth =
        invert_smooth(data, plane_wave_forward(frequencies(), layering, smooth_unknowns),
                      parameters_of(layering, smooth_unknowns));
    return choose_layers(
        data, earth_with(layering, smooth_unknowns, smooth.parameters), [](const LayeredEarth& start) {
            return plane_wave_forward(frequencies(), start, Unknowns::resistivities_and_thicknesses);
        });
}

TEST(LayerChoice, CriterionIsSchwarzs) {
    // Closed form: chi-square + k ln n.
    EXPECT_NEAR(bayesian_information_criterion(1.5, 28, 5), 28 * 2.25 + 5 * std::log(28), 1e-12);
}

TEST(LayerChoice, FindsTheNumberOfLayersFromNoisyData) {
    // A layer too many passes by chance in P(chi-square of 2 > 2 ln 28) = 3.6 % of cases (closed form),
    // somewhat more because its place is sought; never a layer too few, where each is worth hundreds.
    const LayeredEarth grounds[] = {layered({100}, {}), layered({300, 30}, {40}),
                                    layered({400, 25, 2500}, {15, 120})};
    constexpr unsigned seeds = 30;
    for (const LayeredEarth& ground : grounds) {
        unsigned right = 0;
        for (unsigned seed = 1; seed <= seeds; ++seed) {
            const LayerChoice choice = choice_for(noisy(ground, seed));
            EXPECT_GE(choice.found.size(), ground.size()) << seed;
            right += choice.found.size() == ground.size();
        }
        EXPECT_GE(right, seeds * 8 / 10) << ground.size() << " layers";
    }
}

TEST(LayerChoice, TellsWhatItTried) {
    // Closed form: with as many layers as the truth, noise alone is left, rms 1.
    const LayerChoice choice = choice_for(noisy(layered({400, 25, 2500}, {15, 120}), 5));
    ASSERT_EQ(choice.trials.size(), 5u);
    for (std::size_t i = 0; i < choice.trials.size(); ++i) {
        EXPECT_EQ(choice.trials[i].layers, static_cast<int>(i) + 1);
        EXPECT_GE(choice.trials[i].criterion, choice.trials[choice.found.size() - 1].criterion);
    }
    for (std::size_t i = 1; i < choice.trials.size(); ++i)  // a layer more never fits worse
        EXPECT_LE(choice.trials[i].misfit_rms, choice.trials[i - 1].misfit_rms * (1 + 1e-9));
    EXPECT_GT(choice.trials[0].misfit_rms, 5);
    EXPECT_NEAR(choice.trials[2].misfit_rms, 1, 0.35);
    EXPECT_EQ(choice.result.misfit_rms, choice.trials[choice.found.size() - 1].misfit_rms);
}

TEST(LayerChoice, NeverAsManyParametersAsData) {
    const InversionData data{.value = VectorXd::Constant(4, 4.6), .sd = VectorXd::Constant(4, 0.1)};
    const LayeredEarth smooth = smooth_layering(5, 500, 10, 100, 10);
    const auto over = [](const LayeredEarth& start) {
        return plane_wave_forward({1000, 5000}, start, Unknowns::resistivities_and_thicknesses);
    };
    EXPECT_EQ(choose_layers(data, smooth, over).trials.size(), 2u);
    EXPECT_THROW((void)choose_layers({.value = VectorXd::Zero(1), .sd = VectorXd::Ones(1)}, smooth, over),
                 std::invalid_argument);
}

}  // namespace layer_choice_test
