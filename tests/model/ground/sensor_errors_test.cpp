#include "model/ground/sensor_errors.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <random>

namespace {

using namespace ampturn::model::ground;
using Complex = std::complex<double>;

TEST(SensorErrors, AreTheScatterOfTensorsOfWrongSensors) {
    // Independent: Monte Carlo over gains, turned sensors and coils off level; 20 000 draws give a variance to 1 %.
    const HorizontalFields a{
        .ex_v_per_m = {1, 2}, .ey_v_per_m = {-3, 0.5}, .hx_a_per_m = {1, 0.2}, .hy_a_per_m = {0.3, -0.1}},
        b{.ex_v_per_m = {2, -1},
          .ey_v_per_m = {0.4, 0.6},
          .hx_a_per_m = {-0.2, 0.1},
          .hy_a_per_m = {0.9, 0.3}};
    const Complex hz_a{0.5, 0.1}, hz_b{-0.2, 0.4};
    const SensorErrors errors{.gain_rel = 0.002, .azimuth_rad = 0.003, .level_rad = 0.004};
    const ImpedanceTensor z = estimate_tensor(a, b, {}, {}).impedance;
    const Tipper tipper = tipper_of(a, hz_a, b, hz_b);
    EXPECT_LT(std::abs(tipper.x * a.hx_a_per_m + tipper.y * a.hy_a_per_m - hz_a), 1e-12) << "definition";
    const TensorVariance predicted = sensor_variance(z, tipper.x, tipper.y, errors);
    std::mt19937 random(5);
    std::normal_distribution<double> normal;
    TensorVariance sum{};
    constexpr int draws = 20'000;
    for (int n = 0; n < draws; ++n) {
        const auto gain = [&] { return 1.0 + errors.gain_rel * Complex(normal(random), normal(random)); };
        const Complex g[] = {gain(), gain(), gain(), gain()};
        double turn[4], level[2];
        for (double& t : turn) t = errors.azimuth_rad * normal(random);
        for (double& l : level) l = errors.level_rad * normal(random);
        const auto wrong = [&](const HorizontalFields& f, Complex hz) {
            return HorizontalFields{g[0] * f.ex_v_per_m + turn[0] * f.ey_v_per_m,
                                    g[1] * f.ey_v_per_m + turn[1] * f.ex_v_per_m,
                                    g[2] * f.hx_a_per_m + turn[2] * f.hy_a_per_m + level[0] * hz,
                                    g[3] * f.hy_a_per_m + turn[3] * f.hx_a_per_m + level[1] * hz};
        };
        const ImpedanceTensor t = estimate_tensor(wrong(a, hz_a), wrong(b, hz_b), {}, {}).impedance;
        sum.xx += std::norm(t.xx_ohm - z.xx_ohm) / draws;
        sum.xy += std::norm(t.xy_ohm - z.xy_ohm) / draws;
        sum.yx += std::norm(t.yx_ohm - z.yx_ohm) / draws;
        sum.yy += std::norm(t.yy_ohm - z.yy_ohm) / draws;
    }
    EXPECT_NEAR(sum.xx / predicted.xx, 1, 0.05);
    EXPECT_NEAR(sum.xy / predicted.xy, 1, 0.05);
    EXPECT_NEAR(sum.yx / predicted.yx, 1, 0.05);
    EXPECT_NEAR(sum.yy / predicted.yy, 1, 0.05);
}

}  // namespace
