#include "model/loop/exposure.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace exposure_test {

using namespace ampturn::model;
using namespace ampturn::model::loop;

TEST(Exposure, Icnirp2010AtItsBandEdges) {
    // Published:
    // ICNIRP (2010), Health Physics 99:818-836, Tables 3 and 4, as reproduced in
    // tests/reference/rig/icnirp_table.json.
    struct Row {
        double hz, public_t, occupational_t;
    };
    constexpr Row rows[] = {{1, 4e-2, 0.2},       {8, 6.25e-4, 3.125e-3}, {25, 2e-4, 1e-3},
                            {50, 2e-4, 1e-3},     {300, 2e-4, 1e-3},      {400, 2e-4, 7.5e-4},
                            {3000, 2.7e-5, 1e-4}, {1e7, 2.7e-5, 1e-4}};
    for (const Row& r : rows) {
        EXPECT_NEAR(icnirp2010_level_t(ExposureGroup::general_public, r.hz), r.public_t, 1e-12) << r.hz;
        EXPECT_NEAR(icnirp2010_level_t(ExposureGroup::occupational, r.hz), r.occupational_t, 1e-12) << r.hz;
    }
    EXPECT_TRUE(std::isnan(icnirp2010_level_t(ExposureGroup::general_public, 0.5)));
    EXPECT_TRUE(std::isnan(icnirp2010_level_t(ExposureGroup::general_public, 1.1e7)));
}

TEST(Exposure, TheTighterOfTwoGuidelinesAbove100Kilohertz) {
    // Published: tests/reference/facts; 2010 alone was lax above 228 kHz for the public and 136 kHz at work.
    const auto people = ExposureGroup::general_public, work = ExposureGroup::occupational;
    EXPECT_EQ(exposure_level_t({}, people, 2.2e5), 2.7e-5);
    EXPECT_LT(exposure_level_t({}, people, 2.3e5), 2.7e-5);
    EXPECT_EQ(exposure_level_t({}, work, 1.35e5), 1e-4);
    EXPECT_LT(exposure_level_t({}, work, 1.37e5), 1e-4);
    EXPECT_NEAR(exposure_level_t({}, people, 1e6), 6.16e-6, 1e-8) << "4.9 A/m";
    const ExposureLevels eu{.set = ExposureLevels::Set::eu}, own{ExposureLevels::Set::own, 3e-6, 5e-6};
    EXPECT_NEAR(exposure_level_t({}, people, 1e4) / exposure_level_t(eu, people, 1e4), 4.32, 1e-9)
        << "4.3 times as strict";
    EXPECT_EQ(exposure_level_t(own, people, 77), 3e-6) << "definition";
    EXPECT_EQ(exposure_level_t(own, work, 7e5), 5e-6) << "definition";
}

TEST(Exposure, FieldClosedForms) {
    // Closed form:
    // Centre of a square: 2 sqrt(2) mu0 I/(pi s). Far on the axis: dipole mu0 m/(2 pi z^3).
    const auto square = square_outline(10).vertices;
    EXPECT_NEAR(polygon_field_magnitude_t(square, 40, {0, 0, 0}),
                2 * std::sqrt(2.0) * mu0_h_per_m * 40 / (pi * 10), 1e-18);
    const double z = 2000;
    const double dipole = mu0_h_per_m * 40 * 100 / (2 * pi * z * z * z);
    EXPECT_NEAR(polygon_field_magnitude_t(square, 40, {0, 0, z}), dipole, 1e-4 * dipole);
    // On the line of a side, outside it: that side adds nothing, and nothing is infinite.
    EXPECT_TRUE(std::isfinite(polygon_field_magnitude_t(square, 40, {9, 5, 0})));
}

TEST(Exposure, KeepOutIsTheLargestOfAllDirections) {
    // Closed form: the long wire.
    const auto v = rectangle_outline(20, 10).vertices;
    const double level = 27e-6 / 80;
    const double keep = keep_out_distance_m(v, level);
    for (std::size_t side = 0; side < 4; ++side) {
        const LevelDistances d = level_distances(v, side, level);
        EXPECT_LE(d.side_m, keep);
        EXPECT_LE(*d.inside_m, keep);
    }
    // Near a long wire: mu0 NI/(2 pi B).
    EXPECT_NEAR(level_distances(v, 0, 1e-3).side_m, 2e-4, 2e-6);
    // A small strong loop: the whole inside is above the level.
    EXPECT_FALSE(level_distances(square_outline(1).vertices, 0, 27e-6 / 200).inside_m);
}

TEST(Exposure, ALevelThatNoCurrentReachesIsRefused) {
    // Definition: without current, level / (N I) is infinite; and it is never negative.
    const double none = std::numeric_limits<double>::infinity();
    for (const double level : {none, 0.0, -1e-6, std::nan("")})
        EXPECT_THROW((void)level_distances(square_outline(1).vertices, 0, level), RangeError) << level;
    EXPECT_GT(level_distances(square_outline(1).vertices, 0, 1e-18).side_m, 1e3);
    EXPECT_LT(level_distances(square_outline(1).vertices, 0, 1e12).side_m, 1e-9);
}

TEST(Exposure, HarmonicsAddByAmplitude) {
    // Published levels (ICNIRP 2010) at 1 and 3 kHz; closed form of the sum.
    const CurrentLine lines[] = {{1000, 2}, {3000, 0.5}, {0.1, 100}};
    EXPECT_NEAR(exposure_sum_a_per_t({}, ExposureGroup::general_public, lines), 2 / 8e-5 + 0.5 / 2.7e-5, 1e-6)
        << "lines below 1 Hz are outside the guideline";
}

}  // namespace exposure_test
