#include <gtest/gtest.h>

#include <Eigen/Core>
#include <cmath>
#include <random>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/inversion/sounding_forward.hpp"
#include "tests/model/ground/layered.hpp"

namespace source_inversion_test {

using namespace ampturn::model;
using namespace ampturn::model::fields;
using namespace ampturn::model::ground;
using namespace ampturn::model::inversion;
using Eigen::VectorXd;

/// Two upright loops at right angles, seen from the north-east.
DipolePair pair_at(double offset_m) {
    return {.a = {.moment_a_m2 = {1, 0, 0}, .height_m = 5},
            .b = {.moment_a_m2 = {0, 1, 0.1}, .height_m = 5},
            .receiver_x_m = 0.8 * offset_m,
            .receiver_y_m = 0.6 * offset_m};
}

std::vector<double> log_spaced(double first, double last, int count) {
    std::vector<double> values(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = first * std::pow(last / first, static_cast<double>(i) / (count - 1));
    return values;
}

TEST(SourceForward, ValuesAreThoseOfTheFieldEngine) {
    const LayeredEarth earth = layered({100, 8, 900}, {15, 30}, 8);
    const DipolePair pair = pair_at(120);
    for (const double frequency_hz : {100.0, 3000.0, 40000.0, 300000.0}) {
        const Receiver receiver{pair.receiver_x_m, pair.receiver_y_m};
        const auto of = [&](const Dipole& dipole) {
            const Fields f = field(earth, frequency_hz, dipole, receiver).fields;
            return HorizontalFields{f.ex_v_per_m, f.ey_v_per_m, f.hx_a_per_m, f.hy_a_per_m};
        };
        const ImpedanceTensor expected = estimate_tensor(of(pair.a), of(pair.b), {}, {}).impedance;
        const auto unknowns = Unknowns::resistivities;
        const VectorXd value =
            source_forward({frequency_hz}, earth, unknowns, pair)(parameters_of(earth, unknowns), false)
                .value;
        // Back from ln rho_a and phase: rho_a = |Z|^2/(omega mu0).
        const auto impedance_of = [&](Eigen::Index i) {
            return std::polar(std::sqrt(std::exp(value[i]) * 2 * pi * frequency_hz * mu0_h_per_m),
                              value[i + 1]);
        };
        EXPECT_LT(std::abs(impedance_of(0) - expected.xy_ohm), 1e-6 * std::abs(expected.xy_ohm))
            << frequency_hz;
        EXPECT_LT(std::abs(-impedance_of(2) - expected.yx_ohm), 1e-6 * std::abs(expected.yx_ohm))
            << frequency_hz;
    }
}

TEST(SourceForward, JacobianIsTheSlopeOfTheTensorFromNearToFarField) {
    // Independent: fourth-order central differences of the values; step 0.01, own error about 1e-8.
    const LayeredEarth earth = layered({100, 8, 900}, {15, 30}, 8);
    const auto unknowns = Unknowns::resistivities_and_thicknesses;
    const VectorXd m = parameters_of(earth, unknowns);
    for (const double offset_m : {20.0, 120.0, 900.0}) {
        const Forward forward = source_forward({300, 5000, 60000}, earth, unknowns, pair_at(offset_m));
        const Response response = forward(m, true);
        EXPECT_LT((response.value - forward(m, false).value).cwiseAbs().maxCoeff(), 1e-12);
        for (Eigen::Index j = 0; j < m.size(); ++j) {
            const auto moved = [&](double by) {
                VectorXd n = m;
                n[j] += by;
                return forward(n, false).value;
            };
            constexpr double h = 0.01;
            const VectorXd slope = (8 * (moved(h) - moved(-h)) - (moved(2 * h) - moved(-2 * h))) / (12 * h);
            EXPECT_LT((slope - response.jacobian.col(j)).cwiseAbs().maxCoeff(), 1e-6) << offset_m << ' ' << j;
        }
    }
}

TEST(SourceForward, FarAwayIsThePlaneWave) {
    // Identity: two forward models of this code with one limit.
    const LayeredEarth earth = layered({50, 10, 200}, {20, 30}, 8);
    const auto unknowns = Unknowns::resistivities;
    const VectorXd m = parameters_of(earth, unknowns);
    // 20 skin depths off; what is left of the source falls with the square of their number.
    const Response near = source_forward({20000.0}, earth, unknowns, pair_at(600))(m, true);
    const Response plane = plane_wave_forward({20000.0}, earth, unknowns)(m, true);
    for (Eigen::Index i = 0; i < 4; ++i) {
        EXPECT_NEAR(near.value[i], plane.value[i % 2], 0.01) << i;
        for (Eigen::Index j = 0; j < 3; ++j) EXPECT_NEAR(near.jacobian(i, j), plane.jacobian(i % 2, j), 0.02);
    }
}

TEST(SourceForward, NearFieldMisleadsThePlaneWaveInversionAndNotTheSourceAwareOne) {
    // Synthetic: 300 m off over ground whose lowest frequencies see the source as near (0.4 skin depths).
    const LayeredEarth truth = layered({300, 30, 1000}, {60, 40}, 8);
    const auto frequencies = log_spaced(400, 40000, 14);
    const DipolePair pair = pair_at(300);
    const VectorXd exact = source_forward(frequencies, truth, Unknowns::resistivities, pair)(
                               parameters_of(truth, Unknowns::resistivities), false)
                               .value;
    std::mt19937 random(9);
    std::normal_distribution<double> normal;
    InversionData both{.value = exact, .sd = VectorXd(exact.size())};
    InversionData xy{VectorXd(exact.size() / 2), VectorXd(exact.size() / 2)};
    for (Eigen::Index i = 0; i < exact.size(); ++i) {
        both.sd[i] = i % 2 == 0 ? 0.04 : 0.02;
        both.value[i] += both.sd[i] * normal(random);
        if (i % 4 < 2) {
            xy.value[i / 4 * 2 + i % 4] = both.value[i];
            xy.sd[i / 4 * 2 + i % 4] = both.sd[i];
        }
    }
    const LayeredEarth layering = smooth_layering(8, 800, 20, 200, 8);
    const VectorXd start = parameters_of(layering, Unknowns::resistivities);
    const auto plane =
        invert_smooth(xy, plane_wave_forward(frequencies, layering, Unknowns::resistivities), start);
    const auto aware =
        invert_smooth(both, source_forward(frequencies, layering, Unknowns::resistivities, pair), start);
    // The plane-wave inversion even fits, with a conductor at depth that is not there: the near field falls
    // with frequency as over a good conductor.
    EXPECT_LT(std::exp(plane.parameters[15]), 1000.0 / 30);
    EXPECT_GT(std::exp(aware.parameters[15]), 1000.0 / 4);
    EXPECT_TRUE(aware.reached_target);
    const auto distance = [&](const InversionResult& result) {
        const VectorXd tops = layer_tops_m(layering);
        double sum = 0;
        for (Eigen::Index j = 0; j < tops.size() && tops[j] < 250; ++j) {
            const double middle = j + 1 < tops.size() ? 0.5 * (tops[j] + tops[j + 1]) : tops[j];
            const double ln_truth = std::log(middle < 60 ? 300 : middle < 100 ? 30 : 1000);
            sum += std::pow(result.parameters[j] - ln_truth, 2);
        }
        return std::sqrt(sum);
    };
    EXPECT_LT(distance(aware), 0.7 * distance(plane));
    const auto few = Unknowns::resistivities_and_thicknesses;
    const LayeredEarth begin =
        few_layers_of(earth_with(layering, Unknowns::resistivities, aware.parameters), 3);
    const auto three =
        invert_few(both, source_forward(frequencies, begin, few, pair), parameters_of(begin, few));
    EXPECT_LT(three.misfit_rms, 1.2);
    const VectorXd expected = parameters_of(truth, few);
    for (Eigen::Index j = 0; j < expected.size(); ++j)
        EXPECT_LT(std::abs(three.parameters[j] - expected[j]), 4 * std::sqrt(three.covariance(j, j)) + 0.02)
            << j;
}

}  // namespace source_inversion_test
