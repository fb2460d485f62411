// Exposure held against its tables over whole bands, against a plain sum over short pieces of wire, and against what a distance means.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "model/base/constants.hpp"
#include "model/loop/electric_exposure.hpp"
#include "model/loop/exposure.hpp"

namespace exposure_laws_test {

using namespace ampturn::model;
using namespace ampturn::model::loop;

constexpr auto people = ExposureGroup::general_public, work = ExposureGroup::occupational;

TEST(ExposureLevels, AreTheFormulasOfEveryBand) {
    // Published: ICNIRP 2010, tables 3 and 4; 1999/519/EC, annex III; ICNIRP 2020, table 6: the tighter from 100 kHz on.
    struct Band {
        double from_hz, to_hz;
        double people_t, people_power, work_t, work_power;  // level_t f^power
    };
    const Band bands_2010[] = {{1, 8, 4e-2, -2, 0.2, -2},     {8, 25, 5e-3, -1, 2.5e-2, -1},
                               {25, 300, 2e-4, 0, 1e-3, 0},   {300, 400, 2e-4, 0, 0.3, -1},
                               {400, 3e3, 8e-2, -1, 0.3, -1}, {3e3, 1e7, 2.7e-5, 0, 1e-4, 0}};
    for (const Band& band : bands_2010)
        for (const double share : {0.0, 1e-5, 0.3, 0.99999}) {
            const double f = band.from_hz * std::pow(band.to_hz / band.from_hz, share);
            const double p = band.people_t * std::pow(f, band.people_power),
                         w = band.work_t * std::pow(f, band.work_power);
            EXPECT_NEAR(icnirp2010_level_t(people, f), p, 1e-12 * p) << f;
            EXPECT_NEAR(icnirp2010_level_t(work, f), w, 1e-12 * w) << f;
            EXPECT_NEAR(exposure_level_t({ExposureLevels::Set::icnirp_2010}, work, f), w, 1e-12 * w) << f;
            const bool both = f >= 1e5;
            const double new_p = mu0_h_per_m * 4.9e6 / f, new_w = mu0_h_per_m * 10.8e6 / f;
            EXPECT_NEAR(exposure_level_t({}, people, f), both ? std::min(p, new_p) : p, 1e-12 * p) << f;
            EXPECT_NEAR(exposure_level_t({}, work, f), both ? std::min(w, new_w) : w, 1e-12 * w) << f;
        }
    const Band bands_1999[] = {{1, 8, 4e-2, -2},
                               {8, 25, 5e-3, -1},
                               {25, 800, 5e-3, -1},
                               {800, 150e3, 6.25e-6, 0},
                               {150e3, 1e7, 0.92, -1}};
    const ExposureLevels eu{.set = ExposureLevels::Set::eu};
    for (const Band& band : bands_1999)
        for (const double share : {1e-5, 0.3, 0.99999}) {
            const double f = band.from_hz * std::pow(band.to_hz / band.from_hz, share);
            const double p = band.people_t * std::pow(f, band.people_power);
            EXPECT_NEAR(exposure_level_t(eu, people, f), p, 1e-12 * p) << f;
            EXPECT_EQ(exposure_level_t(eu, work, f), exposure_level_t({}, work, f))
                << "definition: 2013/35/EU";
        }
    for (const ExposureLevels& set : {ExposureLevels{}, eu})
        for (const auto group : {people, work}) {
            EXPECT_TRUE(std::isfinite(exposure_level_t(set, group, 1)));
            EXPECT_TRUE(std::isfinite(exposure_level_t(set, group, 1e7)));
            EXPECT_TRUE(std::isnan(exposure_level_t(set, group, 0.999)));
            EXPECT_TRUE(std::isnan(exposure_level_t(set, group, 1.001e7)));
        }
}

TEST(ExposureLevels, OfTheElectricFieldAreTheFormulasOfEveryBand) {
    // Published: ICNIRP 2010, tables 3 and 4.
    for (const double f :
         {1.0, 7.0, 24.999, 25.0, 25.001, 49.999, 50.001, 400.0, 2999.9, 3000.0, 3000.1, 1e5, 1e7}) {
        const double p = f < 50 ? 5000 : f < 3000 ? 2.5e5 / f : 83;
        const double w = f < 25 ? 20'000 : f < 3000 ? 5e5 / f : 170;
        EXPECT_NEAR(icnirp2010_level_v_per_m(people, f), p, 1e-9);
        EXPECT_NEAR(icnirp2010_level_v_per_m(work, f), w, 1e-9);
    }
    for (const auto group : {people, work})
        for (const double f : {0.999, 1.001e7}) EXPECT_TRUE(std::isnan(icnirp2010_level_v_per_m(group, f)));
}

TEST(ExposureSum, TakesLinesFromOneHertzToTenMegahertz) {
    // Published levels of ICNIRP 2010 at the ends of its range; definition: both ends belong to it.
    const ExposureLevels set{ExposureLevels::Set::icnirp_2010};
    EXPECT_NEAR(exposure_sum_a_per_t(set, people, std::vector<CurrentLine>{{1, 3}}), 3 / 4e-2, 1e-9);
    EXPECT_NEAR(exposure_sum_a_per_t(set, people, std::vector<CurrentLine>{{1e7, 3}}), 3 / 2.7e-5, 1e-6);
    EXPECT_EQ(exposure_sum_a_per_t(set, people, std::vector<CurrentLine>{{0.99, 3}, {1.01e7, 3}}), 0);
    EXPECT_NEAR(exposure_sum_a_per_t(set, people, std::vector<CurrentLine>{{1.5, 3}}), 3 / (4e-2 / 2.25),
                1e-9);
}

LoopPoint added(const LoopPoint& a, const LoopPoint& b, double times) {
    return {a.x_m + times * b.x_m, a.y_m + times * b.y_m, a.z_m + times * b.z_m};
}
LoopPoint across(const LoopPoint& a, const LoopPoint& b) {
    return {a.y_m * b.z_m - a.z_m * b.y_m, a.z_m * b.x_m - a.x_m * b.z_m, a.x_m * b.y_m - a.y_m * b.x_m};
}
double length(const LoopPoint& a) { return std::hypot(a.x_m, a.y_m, a.z_m); }

/// Loops as they stand in the field: upright, turned, away from the origin; a rectangle, a triangle, a five-cornered one.
std::vector<std::vector<LoopPoint>> standing_loops() {
    const double c = std::cos(0.6), s = std::sin(0.6);
    std::vector<std::vector<LoopPoint>> out;
    for (const std::vector<std::pair<double, double>>& flat :
         {std::vector<std::pair<double, double>>{{0, 0}, {9, 0}, {9, 5}, {0, 5}},
          {{0, 0}, {8, 0}, {4, 6}},
          {{0, 0}, {4, 0}, {6, 3}, {3, 6}, {-1, 4}}}) {
        std::vector<LoopPoint> loop;
        for (const auto& [along, up] : flat) loop.push_back({30 + c * along, -12 + s * along, -1.5 - up});
        out.push_back(loop);
    }
    return out;
}

TEST(ExposureField, IsTheSumOverShortPiecesOfWire) {
    // Independent: Biot and Savart's law summed by the midpoint rule.
    for (const auto& loop : standing_loops())
        for (const LoopPoint& at : {LoopPoint{33, -9, -3}, LoopPoint{25, -20, -1}, LoopPoint{36, -8, -15},
                                    LoopPoint{60, 20, 0}, LoopPoint{30, -12, -0.5}}) {
            LoopPoint sum{0, 0, 0};
            constexpr int pieces = 4000;
            for (std::size_t i = 0; i < loop.size(); ++i) {
                const LoopPoint side = added(loop[(i + 1) % loop.size()], loop[i], -1);
                for (int k = 0; k < pieces; ++k) {
                    const LoopPoint to = added(at, added(loop[i], side, (k + 0.5) / pieces), -1);
                    const double r = length(to);
                    sum = added(sum, across(side, to), mu0_h_per_m * 40 / (4 * pi * pieces * r * r * r));
                }
            }
            const LoopPoint field = polygon_field_t(loop, 40, at);
            EXPECT_LT(length(added(field, sum, -1)), 1e-5 * length(sum));
            EXPECT_NEAR(polygon_field_magnitude_t(loop, 40, at), length(field), 1e-14 * length(field))
                << "identity";
        }
}

TEST(ExposureField, OfAWireItselfIsThatOfTheOtherSides) {
    // Law: a straight side's own field changes sign across it, so that on it only the others are left.
    const std::vector<LoopPoint> loop = rectangle_outline(20, 10).vertices;
    const LoopPoint &a = loop[0], &b = loop[1];
    const LoopPoint middle{(a.x_m + b.x_m) / 2, (a.y_m + b.y_m) / 2, (a.z_m + b.z_m) / 2};
    for (const LoopPoint& off : {LoopPoint{1e-4, 0, 0}, LoopPoint{0, 1e-4, 0}, LoopPoint{0, 0, 1e-4}}) {
        const LoopPoint side = added(b, a, -1);
        if (side.x_m * off.x_m + side.y_m * off.y_m + side.z_m * off.z_m != 0) continue;  // along it
        const LoopPoint here = polygon_field_t(loop, 1, middle),
                        before = polygon_field_t(loop, 1, added(middle, off, -1)),
                        behind = polygon_field_t(loop, 1, added(middle, off, 1));
        EXPECT_GT(length(here), 0);
        EXPECT_LT(length(added(here, added(before, behind, 1), -0.5)), 1e-6 * length(here));
    }
}

double distance_to_wire(const std::vector<LoopPoint>& loop, const LoopPoint& at) {
    double out = INFINITY;
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const LoopPoint side = added(loop[(i + 1) % loop.size()], loop[i], -1);
        for (int k = 0; k <= 400; ++k)
            out = std::min(out, length(added(at, added(loop[i], side, k / 400.0), -1)));
    }
    return out;
}

TEST(ExposureDistance, IsWhereTheLevelEnds) {
    // Definition: at the distance the field is the level, farther on it is less; the keep-out distance is the largest.
    for (const auto& loop : standing_loops())
        for (const double level_t : {1e-6, 3e-8, 1e-9, 2e-11}) {
            LoopPoint centre{0, 0, 0};
            for (const LoopPoint& corner : loop)
                centre = added(centre, corner, 1 / static_cast<double>(loop.size()));
            LoopPoint normal{0, 0, 0};
            for (std::size_t i = 0; i < loop.size(); ++i)
                normal = added(
                    normal,
                    across(added(loop[i], centre, -1), added(loop[(i + 1) % loop.size()], centre, -1)), 1);
            normal = {normal.x_m / length(normal), normal.y_m / length(normal), normal.z_m / length(normal)};
            const double keep_m = keep_out_distance_m(loop, level_t);
            double largest_m = 0;
            for (std::size_t i = 0; i < loop.size(); ++i) {
                const LoopPoint a = loop[i], b = loop[(i + 1) % loop.size()];
                const LoopPoint middle{(a.x_m + b.x_m) / 2, (a.y_m + b.y_m) / 2, (a.z_m + b.z_m) / 2};
                LoopPoint out = across(added(b, a, -1), normal);
                out = {out.x_m / length(out), out.y_m / length(out), out.z_m / length(out)};
                const LoopPoint inward = added(centre, middle, -1);
                if (out.x_m * inward.x_m + out.y_m * inward.y_m + out.z_m * inward.z_m > 0)
                    out = {-out.x_m, -out.y_m, -out.z_m};
                const auto share_of_level = [&](const LoopPoint& from, const LoopPoint& way, double t) {
                    return polygon_field_magnitude_t(loop, 1, added(from, way, t)) / level_t;
                };
                const LevelDistances d = level_distances(loop, i, level_t);
                EXPECT_NEAR(share_of_level(middle, out, d.side_m), 1, 1e-6);
                for (double farther = 1.01; farther < 1e3; farther *= 1.3)
                    EXPECT_LT(share_of_level(middle, out, farther * d.side_m), 1);
                if (d.axis_m > 0) {
                    EXPECT_NEAR(share_of_level(centre, normal, d.axis_m), 1, 1e-6);
                }
                for (double t = std::max(1.01 * d.axis_m, 1e-3); t < 1e3; t *= 1.3)
                    EXPECT_LT(share_of_level(centre, normal, t), 1);
                const double way_m = length(inward);
                const LoopPoint in{inward.x_m / way_m, inward.y_m / way_m, inward.z_m / way_m};
                if (d.inside_m) {
                    EXPECT_NEAR(share_of_level(middle, in, *d.inside_m), 1, 1e-6);
                    EXPECT_GT(share_of_level(middle, in, 0.99 * *d.inside_m), 1);
                } else {
                    for (double t = 0.01; t < 1; t += 0.05)
                        EXPECT_GT(share_of_level(middle, in, t * way_m), 1) << "the whole way is above it";
                }
                largest_m = std::max({largest_m, d.side_m, d.axis_m, d.inside_m.value_or(way_m)});
            }
            EXPECT_NEAR(keep_m, largest_m, 1e-9 * largest_m);
        }
}

TEST(ExposureDistance, DoesNotDependOnWhereTheLoopStandsNorWhereItsCornersBegin) {
    // Identity: turned, moved or counted from another corner it is the same loop.
    const auto loops = standing_loops();
    for (const auto& loop : loops)
        for (const double level_t : {1e-6, 1e-9}) {
            const double keep_m = keep_out_distance_m(loop, level_t);
            std::vector<LoopPoint> moved, from_second(loop.begin() + 1, loop.end()),
                other_way(loop.rbegin(), loop.rend());
            from_second.push_back(loop.front());
            for (const LoopPoint& p : loop) moved.push_back({-p.y_m - 400, p.x_m + 70, p.z_m - 3});
            EXPECT_NEAR(keep_out_distance_m(moved, level_t), keep_m, 1e-8 * keep_m);
            EXPECT_NEAR(keep_out_distance_m(from_second, level_t), keep_m, 1e-8 * keep_m);
            EXPECT_NEAR(keep_out_distance_m(other_way, level_t), keep_m, 1e-8 * keep_m);
        }
}

TEST(IndexDistance, IsTheFarthestPlaceWhereTheIndexIsReached) {
    // Closed form: an index of (r0 / r)^2 about the middle of a loop ends on a sphere of radius r0.
    const std::vector<LoopPoint> loop = standing_loops().front();
    const LoopPoint middle{30 + 4.5 * std::cos(0.6), -12 + 4.5 * std::sin(0.6), -4};
    const double farthest_m = index_distance_m({loop}, [&](const LoopPoint& p) {
        const double r = length(added(p, middle, -1));
        return 900 / (r * r);
    });
    // Its farthest point from the wire is square to the loop, on the ground at most 4 m below the middle: 30 m off, the nearest
    // wire 2.5 m from the middle.
    const LoopPoint square_to_it{30 * std::sin(0.6), -30 * std::cos(0.6), 0};
    EXPECT_NEAR(farthest_m, distance_to_wire(loop, added(middle, square_to_it, 1)), 0.02);
    EXPECT_EQ(index_distance_m({loop}, [](const LoopPoint&) { return 0.5; }), 0)
        << "definition: never reached";
}

TEST(ChargedLoop, FieldIsTheSlopeOfAPotentialThatIsOneOnTheWireAndNothingOnTheGround) {
    // Law: over conducting ground the field stands upright there, and its line integral from ground to wire is one volt.
    const std::vector<LoopPoint> loop = standing_loops().front();
    constexpr double radius_m = 0.02;
    const ChargedLoop charged(loop, radius_m);
    const LoopPoint foot{30 + 4.5 * std::cos(0.6), -12 + 4.5 * std::sin(0.6), 0};
    // From the ground up to the lower side, in its own plane: by symmetry the field has that direction there.
    double volts = 0;
    constexpr int pieces = 20'000;
    const double way_m = 1.5 - radius_m;
    for (int k = 0; k < pieces; ++k)
        volts += charged.field_per_volt({foot.x_m, foot.y_m, -(k + 0.5) * way_m / pieces}) * way_m / pieces;
    EXPECT_NEAR(volts, 1, 0.03) << "closed form; the charge of a side is in a few pieces";
}

}  // namespace exposure_laws_test
