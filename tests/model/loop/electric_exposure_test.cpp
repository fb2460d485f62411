#include "model/loop/electric_exposure.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"

namespace electric_exposure_test {

using namespace ampturn::model;
using namespace ampturn::model::loop;

std::vector<LoopPoint> upright_square(double side_m, double centre_height_m) {
    LoopDesign d;
    d.outline = square_outline(side_m);
    d.centre_height_m = centre_height_m;
    return placed_vertices(d);
}

TEST(ElectricExposure, LevelsOfTheGuideline) {
    struct Row {
        double frequency_hz, public_v_per_m, occupational_v_per_m;
    };
    // Published: ICNIRP 2010, tests/reference/field/icnirp2010_reference_levels.csv.
    for (const Row& r : {Row{10, 5000, 20'000}, Row{30, 5000, 5e5 / 30}, Row{50, 5000, 10'000},
                         Row{400, 625, 1250}, Row{3000, 83, 170}, Row{1e6, 83, 170}}) {
        EXPECT_DOUBLE_EQ(icnirp2010_level_v_per_m(ExposureGroup::general_public, r.frequency_hz),
                         r.public_v_per_m);
        EXPECT_DOUBLE_EQ(icnirp2010_level_v_per_m(ExposureGroup::occupational, r.frequency_hz),
                         r.occupational_v_per_m);
    }
    EXPECT_TRUE(std::isnan(icnirp2010_level_v_per_m(ExposureGroup::general_public, 0.5)));
}

TEST(ElectricExposure, ThinRingFarFromGroundHasItsCapacitance) {
    // Published: thin ring, C = 4 pi^2 eps0 b/ln(8 b/a) (Smythe, Static and Dynamic Electricity, from memory).
    LoopDesign d;
    d.outline = circle_outline(2);
    d.centre_height_m = 4000;
    const ChargedLoop ring(placed_vertices(d), 1e-3);
    const double closed_f = 4 * pi * pi * eps0_f_per_m * 2 / std::log(8 * 2 / 1e-3);
    EXPECT_NEAR(ring.capacitance_f(), closed_f, 0.01 * closed_f);
    // Closed form: on the axis E = C V z/(4 pi eps0 (b^2 + z^2)^(3/2)); the axis runs north.
    const double z = 3, e = closed_f * z / (4 * pi * eps0_f_per_m * std::pow(4 + z * z, 1.5));
    EXPECT_NEAR(ring.field_per_volt({z, 0, -4000}), e, 0.01 * e);
}

TEST(ElectricExposure, LongWireOverGround) {
    // Closed form: a wire and its image, E(d) = lambda/(2 pi eps0) (1/r1 - 1/r2) above it,
    // lambda = 2 pi eps0 V/ln(2 h/a); a loop 4 km long has two far wires, so look near the lower one.
    LoopDesign d;
    d.outline = rectangle_outline(4000, 2000);
    d.centre_height_m = 1002;
    const ChargedLoop loop(placed_vertices(d), 2e-3);
    const double lambda = 1 / std::log(2 * 2 / 2e-3);
    const double above = lambda * (1 / 0.5 + 1 / (4 + 0.5) - 2 / (4 + 0.5));
    EXPECT_NEAR(loop.field_per_volt({0, 40, -2.5}), above, 0.02 * above) << "far wires and ends give 2 %";
}

TEST(ElectricExposure, VectorPotentialNearALongWire) {
    // Closed form: A = -mu0/(2 pi) ln r plus what far wires add alike.
    LoopDesign d;
    d.outline = rectangle_outline(4000, 2000);
    d.centre_height_m = 1002;
    const ChargedLoop loop(placed_vertices(d), 2e-3);
    const double step =
        loop.vector_potential_per_ampere({0, 0, -2.5}) - loop.vector_potential_per_ampere({0, 0, -3});
    EXPECT_NEAR(step, mu0_h_per_m / (2 * pi) * std::log(2.0), 2e-3 * step) << "far wires: 1 m in 2000";
}

TEST(ElectricExposure, DistanceOfAnIndexThatFallsFromTheWire) {
    // Definition: an index that is 1 at 3 m from the wire.
    const std::vector<std::vector<LoopPoint>> wires{upright_square(10, 9)};
    const auto index = [&](const LoopPoint& at) {
        double nearest = 1e9;
        for (std::size_t i = 0; i < 4; ++i)
            for (int k = 0; k <= 100; ++k) {
                const LoopPoint &p = wires[0][i], &q = wires[0][(i + 1) % 4];
                nearest = std::min(nearest, std::hypot(at.x_m - p.x_m - 0.01 * k * (q.x_m - p.x_m),
                                                       at.y_m - p.y_m - 0.01 * k * (q.y_m - p.y_m),
                                                       at.z_m - p.z_m - 0.01 * k * (q.z_m - p.z_m)));
            }
        return 3 / nearest;
    };
    EXPECT_NEAR(index_distance_m(wires, index), 3, 0.01);
}

TEST(ElectricExposure, AnIndexReachesAsFarWhereverTheLoopStands) {
    // Identity: moved north and east, wire and index alike.
    const auto reach_m = [](double north_m, double east_m) {
        LoopDesign d;
        d.outline = square_outline(10);
        d.centre_height_m = 9;
        std::vector<LoopPoint> wire = placed_vertices(d);
        for (LoopPoint& p : wire) p.x_m += north_m, p.y_m += east_m;
        const double level = 27e-6 / 100;
        return index_distance_m(
            {wire}, [&](const LoopPoint& at) { return polygon_field_magnitude_t(wire, 1, at) / level; });
    };
    const double here_m = reach_m(0, 0);
    EXPECT_NEAR(reach_m(300, 0), here_m, 1e-6 * here_m);
    EXPECT_NEAR(reach_m(0, -200), here_m, 1e-6 * here_m);
}

TEST(ElectricExposure, ALobeOfAFewDegreesIsNotMissed) {
    // Definition: an index that is 1 at 40 m from the middle in a narrow lobe, at 20 m elsewhere; the middle is 4 m from the wire.
    const std::vector<std::vector<LoopPoint>> wires{upright_square(8, 9)};
    for (const double lobe_deg : {75.0, 255.0}) {
        const auto index = [&](const LoopPoint& at) {
            const double azimuth = std::atan2(at.y_m, at.x_m) - lobe_deg * pi / 180;
            const double across = 2 * std::sin(azimuth / 2), up = (at.z_m + 9) / 40;
            const double far_m = 20 + 20 * std::exp(-(across * across + up * up) / (0.1 * 0.1));
            return far_m / std::hypot(at.x_m, at.y_m, at.z_m + 9);
        };
        EXPECT_GT(index_distance_m(wires, index), 35) << lobe_deg;
    }
}

TEST(ElectricExposure, TwoLoopsReachFartherThanOne) {
    LoopDesign d;
    d.outline = square_outline(10);
    d.centre_height_m = 7;
    const std::vector<LoopPoint> a = placed_vertices(d);
    d.normal_azimuth_deg = 90;
    const std::vector<LoopPoint> b = placed_vertices(d);
    const double level = 27e-6 / 100;  // 100 ampere-turns
    const auto of_a = [&](const LoopPoint& at) { return polygon_field_magnitude_t(a, 1, at) / level; };
    const auto of_both = [&](const LoopPoint& at) {
        return of_a(at) + polygon_field_magnitude_t(b, 1, at) / level;
    };
    const double one_m = keep_out_distance_m(a, level);
    // Independent: the search of one loop along its own normals and axis.
    EXPECT_GT(index_distance_m({a}, of_a), 0.95 * one_m);
    EXPECT_GT(index_distance_m({a, b}, of_both), one_m);
}

}  // namespace electric_exposure_test
