#include "model/inversion/inversion.hpp"

#include <gtest/gtest.h>

#include <Eigen/Core>
#include <cmath>
#include <random>
#include <stdexcept>

#include "model/ground/plane_wave.hpp"
#include "model/inversion/plane_wave_sensitivity.hpp"
#include "model/inversion/sounding_forward.hpp"
#include "tests/model/ground/layered.hpp"

namespace inversion_test {

using namespace ampturn::model::ground;
using namespace ampturn::model::inversion;
using Complex = std::complex<double>;
using Eigen::VectorXd;

std::vector<double> log_spaced(double first, double last, int count) {
    std::vector<double> values(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = first * std::pow(last / first, static_cast<double>(i) / (count - 1));
    return values;
}

/// Data of a forward with Gaussian errors of the given sd of ln rho_a; phase has half of it.
InversionData noisy(const VectorXd& exact, double sd_ln_rho, unsigned seed) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    InversionData data{.value = exact, .sd = VectorXd(exact.size())};
    for (Eigen::Index i = 0; i < exact.size(); ++i) {
        data.sd[i] = i % 2 == 0 ? sd_ln_rho : sd_ln_rho / 2;
        data.value[i] += data.sd[i] * normal(random);
    }
    return data;
}

TEST(PlaneWaveSensitivity, ImpedanceIsThatOfTheRecursion) {
    const LayeredEarth earth = layered({100, 5, 2000, 30}, {20, 15, 300});
    for (const double frequency_hz : log_spaced(1, 1e6, 25)) {
        const Complex z = plane_wave_impedance_ohm(earth, frequency_hz);
        EXPECT_LT(std::abs(plane_wave_sensitivity(earth, frequency_hz).impedance_ohm - z),
                  1e-14 * std::abs(z));
    }
}

TEST(PlaneWaveSensitivity, UniformGroundHasTheClosedForm) {
    // Z = sqrt(i omega mu rho): d ln Z/d ln rho = 1/2 without displacement currents, whatever the layering.
    const LayeredEarth earth = layered({50, 50, 50}, {10, 25});
    const auto s = plane_wave_sensitivity(earth, 3000, Wavenumbers::quasi_static);
    const Complex sum = s.by_ln_resistivity_ohm[0] + s.by_ln_resistivity_ohm[1] + s.by_ln_resistivity_ohm[2];
    EXPECT_LT(std::abs(sum / s.impedance_ohm - 0.5), 1e-14);
    EXPECT_LT(std::abs(s.by_ln_thickness_ohm[0]), 1e-14 * std::abs(s.impedance_ohm));
}

TEST(PlaneWaveSensitivity, IsTheSlopeOfTheRecursion) {
    // Independent: fourth-order central differences of plane_wave_impedance_ohm; with a step of 1e-3 their
    // own error is about 1e-12.
    const LayeredEarth earth = layered({100, 5, 2000, 30}, {20, 15, 300});
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const VectorXd m = parameters_of(earth, unknowns);
    for (const double frequency_hz : {10.0, 1000.0, 30000.0, 300000.0}) {
        const auto s = plane_wave_sensitivity(earth, frequency_hz);
        for (Eigen::Index j = 0; j < m.size(); ++j) {
            const auto moved = [&](double by) {
                VectorXd n = m;
                n[j] += by;
                return plane_wave_impedance_ohm(earth_with(earth, unknowns, n), frequency_hz);
            };
            constexpr double h = 1e-3;
            const Complex slope = (8.0 * (moved(h) - moved(-h)) - (moved(2 * h) - moved(-2 * h))) / (12 * h);
            const Complex analytic = j < 4 ? s.by_ln_resistivity_ohm[static_cast<std::size_t>(j)]
                                           : s.by_ln_thickness_ohm[static_cast<std::size_t>(j - 4)];
            EXPECT_LT(std::abs(slope - analytic), 1e-10 * std::abs(s.impedance_ohm))
                << frequency_hz << ' ' << j;
        }
    }
}

TEST(SmoothInversion, FindsTheFiveLayersOfWhittallAndOldenburg) {
    // Published model (from memory):
    // Five-layer magnetotelluric test model, Whittall & Oldenburg (1992), SEG Geophysical Monograph 5 (from
    // memory): 250, 25, 100, 10, 25 ohm m with interfaces at 600, 2000, 6000 and 10000 m. Method: Constable,
    // Parker & Constable (1987): the smooth model must fit to rms 1 and swing as the truth does.
    const LayeredEarth truth = layered({250, 25, 100, 10, 25}, {600, 1400, 4000, 4000});
    const auto frequencies = log_spaced(0.0025, 250, 25);
    const VectorXd exact = plane_wave_forward(frequencies, truth, Unknowns::resistivities)(
                               parameters_of(truth, Unknowns::resistivities), false)
                               .value;
    const InversionData data = noisy(exact, 0.02, 4);
    const LayeredEarth layering = smooth_layering(50, 300000, 56, 50, 1);
    const Forward forward = plane_wave_forward(frequencies, layering, Unknowns::resistivities);
    const InversionResult result =
        invert_smooth(data, forward, parameters_of(layering, Unknowns::resistivities));
    EXPECT_TRUE(result.reached_target);
    EXPECT_NEAR(result.misfit_rms, 1, 0.02);
    EXPECT_LE(result.iterations, 15);
    const VectorXd tops = layer_tops_m(layering);
    const auto at_depth = [&](double depth_m) {
        Eigen::Index j = 0;
        while (j + 1 < tops.size() && tops[j + 1] <= depth_m) ++j;
        return std::exp(result.parameters[j]);
    };
    EXPECT_NEAR(at_depth(300) / 250, 1, 0.5);
    EXPECT_LT(at_depth(1100), 40);
    EXPECT_GT(at_depth(3800), 60);
    EXPECT_LT(at_depth(8500), 16);
    EXPECT_NEAR(at_depth(30000) / 25, 1, 0.3);
    // The multiplier trades roughness for misfit: nothing rougher than needed.
    const InversionResult looser =
        invert_smooth(data, forward, parameters_of(layering, Unknowns::resistivities), {.target_rms = 1.5});
    EXPECT_LT(looser.roughness, result.roughness);
    EXPECT_NEAR(looser.misfit_rms, 1.5, 0.03);
    // Resolution: its trace is the number of parameters the data can tell, far fewer than layers.
    EXPECT_GT(result.resolution.trace(), 5);
    EXPECT_LT(result.resolution.trace(), 25);
    const double doi_m = depth_of_investigation_m(data, result.jacobian, tops);
    EXPECT_GT(doi_m, 10000);
    EXPECT_LT(doi_m, 300000);
}

TEST(SmoothInversion, SaysWhenNoGroundFits) {
    // Phase of 80 degrees with rho_a falling as frequency rises: over layers a phase above 45 goes with a
    // rise (Weidelt 1972), so no ground gives it.
    const auto frequencies = log_spaced(100, 10000, 8);
    VectorXd value(16);
    for (Eigen::Index i = 0; i < 8; ++i) {
        value[2 * i] = std::log(100.0) - 0.5 * static_cast<double>(i);
        value[2 * i + 1] = 80 * std::acos(-1.0) / 180;
    }
    const InversionData data{value, VectorXd::Constant(16, 0.02)};
    const LayeredEarth layering = smooth_layering(5, 2000, 20, 100, 1);
    const auto result =
        invert_smooth(data, plane_wave_forward(frequencies, layering, Unknowns::resistivities),
                      parameters_of(layering, Unknowns::resistivities));
    EXPECT_FALSE(result.reached_target);
    EXPECT_GT(result.misfit_rms, 3);
}

TEST(FewLayerInversion, RecoversTheGroundFromExactDataWhereverItStarts) {
    const LayeredEarth truth = layered({100, 10, 500}, {50, 80});
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const auto frequencies = log_spaced(10, 50000, 20);
    const Forward forward = plane_wave_forward(frequencies, truth, unknowns);
    const VectorXd m = parameters_of(truth, unknowns);
    const InversionData data{forward(m, false).value, VectorXd::Constant(40, 0.01)};
    for (const double factor : {0.5, 2.0}) {
        VectorXd start = m;
        for (Eigen::Index j = 0; j < m.size(); ++j) start[j] += (j % 2 == 0 ? 1 : -1) * std::log(factor);
        const InversionResult result = invert_few(data, forward, start, {.tolerance = 1e-12});
        EXPECT_LT((result.parameters - m).cwiseAbs().maxCoeff(), 1e-4) << factor;
    }
}

TEST(FewLayerInversion, CovarianceIsTheScatterOfTheParameters) {
    // Independent: Monte Carlo, 400 draws, scatter of each parameter to 3.5 %; the limit also holds the
    // curvature that the linear covariance leaves out.
    const LayeredEarth truth = layered({100, 10, 500}, {50, 80});
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const auto frequencies = log_spaced(10, 50000, 20);
    const Forward forward = plane_wave_forward(frequencies, truth, unknowns);
    const VectorXd m = parameters_of(truth, unknowns);
    const VectorXd exact = forward(m, false).value;
    VectorXd squares = VectorXd::Zero(m.size()), predicted = squares;
    constexpr int draws = 400;
    for (unsigned draw = 0; draw < draws; ++draw) {
        const InversionResult result = invert_few(noisy(exact, 0.02, draw), forward, m);
        squares += (result.parameters - m).cwiseAbs2() / draws;
        predicted += result.covariance.diagonal() / draws;
    }
    for (Eigen::Index j = 0; j < m.size(); ++j)
        EXPECT_NEAR(std::sqrt(squares[j] / predicted[j]), 1, 0.12) << j;
}

TEST(FewLayers, OfASmoothGroundFallWhereItSteps) {
    // Definition: the layers the ground was made of.
    LayeredEarth smooth = smooth_layering(5, 1000, 20, 100, 10);
    VectorXd m = parameters_of(smooth, Unknowns::resistivities);
    for (Eigen::Index j = 0; j < m.size(); ++j) m[j] = std::log(j < 8 ? 100 : j < 14 ? 10 : 1000);
    smooth = earth_with(smooth, Unknowns::resistivities, m);
    const LayeredEarth few = few_layers_of(smooth, 3);
    EXPECT_NEAR(few[0].resistivity_ohm_m, 100, 1e-9);
    EXPECT_NEAR(few[1].resistivity_ohm_m, 10, 1e-9);
    EXPECT_NEAR(few[2].resistivity_ohm_m, 1000, 1e-9);
    EXPECT_NEAR(few[0].thickness_m, layer_tops_m(smooth)[8], 1e-9);
    EXPECT_EQ(few[0].relative_permittivity, 10);
}

TEST(Inversion, RefusesDataWithoutErrorBars) {
    const LayeredEarth earth = layered({100}, {});
    const Forward forward = plane_wave_forward({100.0}, earth, Unknowns::resistivities);
    const VectorXd m = parameters_of(earth, Unknowns::resistivities);
    EXPECT_THROW(invert_smooth({VectorXd::Zero(2), VectorXd::Zero(2)}, forward, m), std::invalid_argument);
    EXPECT_THROW(invert_few({VectorXd::Zero(2), VectorXd::Zero(1)}, forward, m), std::invalid_argument);
}

}  // namespace inversion_test
