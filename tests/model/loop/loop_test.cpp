#include "model/loop/loop.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "tests/outside_check.hpp"

namespace loop_test {

using namespace ampturn::model::loop;

TEST(Loop, SquareOfTheHandbooks) {
    // Published:
    // Terman (1943), Grover (1946), from memory, lengths in cm, low frequency (mu delta = 1/4):
    // L[uH] = 0.008 s [ln(2 s/d) + d/(2 s) - 0.77401 + mu delta].
    ampturn::test::OutsideCheck check("inductance of a square", "Terman (1943), Grover (1946), from memory");
    for (const double side_m : {2.0, 10.0, 50.0}) {
        const double a = 1e-3;
        const double s_cm = 100 * side_m;
        const double d_cm = 0.2;
        const double handbook_uh =
            0.008 * s_cm * (std::log(2 * s_cm / d_cm) + d_cm / (2 * s_cm) - 0.77401 + 0.25);
        check.relative(self_inductance_h(square_outline(side_m), wire_gmr_m(a, 1)) * 1e6, handbook_uh, 3e-4,
                       std::to_string(static_cast<int>(side_m)) + " m");
    }
}

TEST(Loop, MutualDoesNotDependOnOrderOrDirectionBothReversed) {
    // Identity: reciprocity, and additivity of Neumann's integral.
    const LoopPoint a{0, 0, 0}, b{3, 1, 0}, c{1, -2, 0.5}, d{2, 2, 1.5};
    const double m = filament_mutual_h(a, b, c, d);
    EXPECT_NEAR(filament_mutual_h(c, d, a, b), m, 1e-14 * std::abs(m));
    EXPECT_NEAR(filament_mutual_h(b, a, d, c), m, 1e-12 * std::abs(m));
    EXPECT_NEAR(filament_mutual_h(b, a, c, d), -m, 1e-12 * std::abs(m));
    // Cutting a filament in two changes nothing.
    const LoopPoint mid{1.2, 0.4, 0};
    EXPECT_NEAR(filament_mutual_h(a, mid, c, d) + filament_mutual_h(mid, b, c, d), m, 1e-12 * std::abs(m));
}

TEST(Loop, SkewFilamentsAgainstQuadrature) {
    // Independent: plain double sum of cos/r over midpoints, second order.
    const LoopPoint a{0, 0, 0}, b{3, 1, 0}, c{1, -2, 1}, d{2, 2, 1.5};
    constexpr int n = 1500;
    const auto at = [](const LoopPoint& p, const LoopPoint& q, double t) {
        return LoopPoint{p.x_m + t * (q.x_m - p.x_m), p.y_m + t * (q.y_m - p.y_m),
                         p.z_m + t * (q.z_m - p.z_m)};
    };
    double sum = 0;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) {
            const LoopPoint p = at(a, b, (i + 0.5) / n), q = at(c, d, (j + 0.5) / n);
            sum += 1 / std::hypot(p.x_m - q.x_m, p.y_m - q.y_m, p.z_m - q.z_m);
        }
    const double dot = 3 * 1 + 1 * 4;
    const double expected = 1e-7 * dot * sum / n / n;
    EXPECT_NEAR(filament_mutual_h(a, b, c, d), expected, 1e-6 * std::abs(expected));
}

TEST(Loop, NearlyParallelJoinsTheSkewForm) {
    // Identity: two formulas of this code where they meet.
    const auto m = [](double angle) {
        return filament_mutual_h({0, 0, 0}, {10, 0, 0}, {1, 0.3, 0.2},
                                 {1 + 9 * std::cos(angle), 0.3 + 9 * std::sin(angle), 0.2});
    };
    EXPECT_NEAR(m(1.999e-3) / m(2.001e-3), 1, 2e-5);
    // The limit of small angles is the parallel form.
    EXPECT_NEAR(m(1e-9) / m(0), 1, 1e-6);
}

TEST(Loop, TapParabolaHoldsTheNeumannIntegral) {
    // Identity: the short cut against the integral it stands for.
    LoopDesign d{};
    d.outline = square_outline(10);
    d.wire = wire_of_area(2.5e-6);
    d.pitch_m = 3.6e-3;
    const LoopTap tap = make_tap(d, 5);
    for (const double f : {10.0, 3e3, 30e3, 300e3}) {
        const double x = wire_effect(d.wire, 20, f).internal_inductance_ratio;
        const auto turns = hexagonal_bundle(5, d.pitch_m);
        const double exact =
            25 * self_inductance_h(d.outline, bundle_gmr_m(turns, wire_gmr_m(d.wire.radius_m(), x)));
        EXPECT_NEAR(loop_impedance(tap, 20, f).inductance_h, exact, 1e-9 * exact) << f;
    }
}

TEST(Loop, TwoLoopsAtRightAnglesDoNotCouple) {
    // Closed form: no coupling, by symmetry.
    LoopDesign a{};
    a.outline = rectangle_outline(12, 10);
    a.wire = wire_of_area(2.5e-6);
    a.pitch_m = 4e-3;
    a.centre_height_m = 6;
    LoopDesign b = a;
    b.normal_azimuth_deg = 90;
    b.outline = rectangle_outline(11.8, 9.8);
    const double own = self_inductance_h(a.outline, 1e-2);
    EXPECT_NEAR(loop_mutual_h(a, b, 0, 0), 0, 1e-12 * own);
    b.normal_azimuth_deg = 85;
    EXPECT_GT(loop_mutual_h(a, b, 0, 0) / own, 0.01);
    // Moment points the same way for both: parallel loops couple positively.
    b.normal_azimuth_deg = 0;
    EXPECT_GT(loop_mutual_h(a, b, 0, 0), 0);
}

TEST(Loop, RefusesWhatIsNoLoop) {
    EXPECT_THROW(polygon_outline({{0, 0, 0}, {1, 0, 0}}), std::invalid_argument);
    EXPECT_THROW(polygon_outline({{0, 0, 0}, {1, 1, 0}, {1, 0, 0}, {0, 1, 0}}), std::invalid_argument)
        << "crosses";
    EXPECT_THROW(polygon_outline({{0, 0, 0}, {1, 0, 0}, {1, 1, 0.5}, {0, 1, 0}}), std::invalid_argument)
        << "not plane";
    EXPECT_THROW(square_outline(0), std::invalid_argument);
    LoopDesign d{};
    d.outline = square_outline(10);
    d.wire = wire_of_area(2.5e-6);
    d.pitch_m = 1e-3;
    EXPECT_THROW(make_tap(d, 5), std::invalid_argument) << "pitch below the wire's diameter";
}

}  // namespace loop_test
