#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "model/fields/loop_convergence.hpp"
#include "model/fields/loop_dipoles.hpp"
#include "tests/model/fields/random_case.hpp"

// Loops summed from dipoles over their area: how few are enough.

namespace loop_quadrature_test {

using namespace ampturn;
using namespace ampturn::model::fields;
using ampturn::model::ground::Wavenumbers;

/// A parallelogram that stands, leans or lies, its lowest corner above the ground.
Loop random_parallelogram(test::Random& random) {
    const double azimuth = random.uniform(0, 6.28), tilt = random.chance(0.6) ? 0 : random.uniform(0, 1.5);
    const double width = random.log_uniform(1, 15), height = random.log_uniform(1, 15);
    const double skew = random.chance(0.5) ? 0 : random.uniform(-0.5, 0.5) * width;
    const double lowest = random.log_uniform(0.05, 3);
    const auto corner = [&](double along, double up) -> std::array<double, 3> {
        const double level = -up * std::sin(tilt);
        return {-along * std::sin(azimuth) + level * std::cos(azimuth),
                along * std::cos(azimuth) + level * std::sin(azimuth), -lowest - up * std::cos(tilt)};
    };
    return {.vertices_xyz_m = {corner(0, 0), corner(width, 0), corner(width + skew, height),
                               corner(skew, height)}};
}

std::vector<Receiver> around(const Loop& loop, test::Random& random, int count) {
    const Dipole whole = loop_as_dipole(loop);
    std::vector<Receiver> out;
    for (int i = 0; i < count; ++i) {
        const double r = loop_radius_m(loop) * random.log_uniform(3, 100), azimuth = random.uniform(0, 6.28);
        out.push_back({whole.x_m + r * std::cos(azimuth), whole.y_m + r * std::sin(azimuth), 0});
    }
    return out;
}

// Law: two ways of summing the same loop agree to what they say they are off. The other way goes up until two rules agree, by a
// contour for every dipole.
TEST(LoopQuadrature, FewDipolesAreAsGoodAsTheySay) {
    test::Random random(20);
    double worst = 0;
    for (int i = 0; i < 12; ++i) {
        const model::ground::LayeredEarth earth = test::random_earth(random);
        const Loop loop = random_parallelogram(random);
        const std::vector<Receiver> receivers = around(loop, random, 12);
        const double frequency_hz = random.log_uniform(10, 2e5);
        const Wavenumbers wavenumbers = random.chance(0.5) ? Wavenumbers::full : Wavenumbers::quasi_static;
        const auto batch = fields_at(earth, frequency_hz, std::vector<Source>{loop}, receivers,
                                     {.wavenumbers = wavenumbers, .tolerance_rel = 1e-6});
        const auto exact = fields_at(earth, frequency_hz, std::vector<Source>{loop}, receivers,
                                     {.wavenumbers = wavenumbers, .tolerance_rel = 1e-8, .reference = true});
        for (std::size_t j = 0; j < receivers.size(); ++j) {
            const FieldResult &a = batch[0][j], &b = exact[0][j];
            const double e = e_size(a.fields - b.fields), h = h_size(a.fields - b.fields);
            EXPECT_LE(e, 2 * (a.e_error_v_per_m + b.e_error_v_per_m)) << "case " << i << " receiver " << j;
            EXPECT_LE(h, 2 * (a.h_error_a_per_m + b.h_error_a_per_m)) << "case " << i << " receiver " << j;
            worst = std::max({worst, e / e_size(b.fields), h / h_size(b.fields)});
        }
    }
    EXPECT_LT(worst, 2e-6);
    EXPECT_GT(worst, 1e-12);  // not the same way twice
}

/// An upright rectangle with level sides, its middle anywhere.
Loop random_upright_rectangle(test::Random& random, double largest_m) {
    const double azimuth = random.uniform(0, 6.28), width = random.log_uniform(1, largest_m),
                 height = random.log_uniform(1, largest_m), lowest = random.log_uniform(0.05, 3);
    const double east = width * std::sin(azimuth), north = width * std::cos(azimuth), top = -lowest - height;
    return {
        .vertices_xyz_m = {
            {3, -2, -lowest}, {3 + north, -2 + east, -lowest}, {3 + north, -2 + east, top}, {3, -2, top}}};
}

// Law: columns of dipoles, averaged over their height in the integrals, add up to the same field as points over the loop by a contour
// for every one of them.
TEST(LoopQuadrature, ColumnsOfAnUprightRectangleAreItsDipoles) {
    test::Random random(21);
    double worst = 0;
    std::size_t in_columns = 0;
    for (int i = 0; i < 6; ++i) {
        const model::ground::LayeredEarth earth = test::random_earth(random);
        const Loop loop = random_upright_rectangle(random, 20);
        const std::vector<Receiver> receivers = around(loop, random, 6);
        const double frequency_hz = random.log_uniform(10, 1e6);
        const Wavenumbers wavenumbers = i % 2 == 0 ? Wavenumbers::full : Wavenumbers::quasi_static;
        const auto batch = fields_at(earth, frequency_hz, std::vector<Source>{loop}, receivers,
                                     {.wavenumbers = wavenumbers, .tolerance_rel = 1e-7});
        const auto exact = fields_at(earth, frequency_hz, std::vector<Source>{loop}, receivers,
                                     {.wavenumbers = wavenumbers, .tolerance_rel = 1e-8, .reference = true});
        for (std::size_t j = 0; j < receivers.size(); ++j) {
            const FieldResult &a = batch[0][j], &b = exact[0][j];
            const double e = e_size(a.fields - b.fields), h = h_size(a.fields - b.fields);
            EXPECT_LE(e, a.e_error_v_per_m + b.e_error_v_per_m) << "case " << i << " receiver " << j;
            EXPECT_LE(h, a.h_error_a_per_m + b.h_error_a_per_m) << "case " << i << " receiver " << j;
            worst = std::max({worst, e / e_size(b.fields), h / h_size(b.fields)});
            in_columns += a.source_model == SourceModel::dipole_columns;
        }
    }
    EXPECT_LT(worst, 1e-7);
    EXPECT_GT(worst, 1e-13);  // not the same way twice
    EXPECT_GT(in_columns, 30U);
}

// Definition: columns need receivers on the ground and a length short against the wave's; otherwise the loop is summed from points.
TEST(LoopQuadrature, ColumnsOnlyWhereTheirMeanHolds) {
    const Loop tall{.vertices_xyz_m = {{0, -20, -1}, {0, 20, -1}, {0, 20, -101}, {0, -20, -101}}};
    const model::ground::LayeredEarth earth(
        std::vector<model::ground::Layer>{{.resistivity_ohm_m = 100, .relative_permittivity = 8}});
    const auto model_of = [&](double frequency_hz, double z_m) {
        std::vector<Receiver> receivers;
        for (int i = 0; i < 8; ++i) receivers.push_back({400.0 + 50 * i, 30, z_m});
        return fields_at(earth, frequency_hz, std::vector<Source>{tall}, receivers,
                         {.tolerance_rel = 1e-6})[0][7]
            .source_model;
    };
    EXPECT_EQ(model_of(1e3, 0), SourceModel::dipole_columns);
    EXPECT_EQ(model_of(1e3, -2), SourceModel::dipole_area);
    EXPECT_EQ(model_of(6e5, 0), SourceModel::dipole_area);  // half a height of 50 m is 0.6 rad
}

// Definition: the rule after the first one is expected to hold, the first one is not.
TEST(LoopQuadrature, BeginsJustBelowTheRuleThatIsExpectedToHold) {
    for (const double ratio : {2.5, 7.0, 30.0, 400.0})
        for (const double tolerance : {1e-4, 1e-7, 1e-9}) {
            const std::size_t first = first_order(ratio, tolerance);
            EXPECT_LE(expected_error(ratio, loop_orders[first + 1]), tolerance);
            if (first > 0) {
                EXPECT_GT(expected_error(ratio, loop_orders[first]), tolerance);
            }
        }
}

// Closed form: errors that fall as c q^n from order n on are told from one another exactly, but for the factor of ten.
TEST(LoopQuadrature, PredictsTheFinerErrorFromTheCoarser) {
    for (const auto& [coarser, finer] : {std::pair{1, 2}, {2, 3}, {3, 4}, {4, 6}, {6, 8}, {8, 10}, {20, 24}})
        EXPECT_NEAR(predicted_error(std::pow(1e-2, coarser), coarser, finer) / (10 * std::pow(1e-2, finer)),
                    1, 1e-9);
}

}  // namespace loop_quadrature_test
