#include "scheduler/reference/thin_wire.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "tests/outside_check.hpp"

namespace thin_wire_test {

using namespace ampturn::model;
using namespace ampturn::model::loop;
using namespace ampturn::reference;
namespace test = ampturn::test;

TEST(ThinWire, RectangleClosedForm) {
    // Closed form: Grover (1946), from memory.
    // L = (mu0/pi) [a ln(2a/g) + b ln(2b/g) - a asinh(a/b) - b asinh(b/a) + 2 sqrt(a^2+b^2) - 2(a+b)],
    // Grover.
    const double a = 30, b = 8, g = 2e-3;
    const double closed = mu0_h_per_m / pi *
                          (a * std::log(2 * a / g) + b * std::log(2 * b / g) - a * std::asinh(a / b) -
                           b * std::asinh(b / a) + 2 * std::hypot(a, b) - 2 * (a + b));
    test::OutsideCheck check("inductance of a thin rectangle", "Grover (1946), closed form, from memory");
    check.relative(self_inductance_thin_wire_h(rectangle_outline(a, b), g), closed, 1e-12, "30 by 8 m");
}

TEST(ThinWire, RegularPolygonConstantsOfGrover) {
    // Published constants: Grover (1946), from memory.
    // L = (mu0/2pi) N s [ln(s/g) + c]: c = -1.405465 for the triangle, -0.151524 for the hexagon (Grover
    // 1946, from memory).
    const double s = 10, g = 1e-3;
    const double triangle = mu0_h_per_m / (2 * pi) * 3 * s * (std::log(s / g) - 1.405465);
    test::OutsideCheck check("inductance of thin regular polygons", "Grover (1946), constants, from memory");
    check.relative(self_inductance_thin_wire_h(regular_polygon_outline(3, s), g), triangle, 1e-6, "triangle");
    const double hexagon = mu0_h_per_m / (2 * pi) * 6 * s * (std::log(s / g) - 0.151524);
    check.relative(self_inductance_thin_wire_h(regular_polygon_outline(6, s), g), hexagon, 2e-6, "hexagon");
}

TEST(ThinWire, ManySidesBecomeTheCircle) {
    // Closed form: the ring that many sides tend to.
    const double radius = 5, g = 1e-3;
    const LoopOutline many = regular_polygon_outline(360, 2 * radius * std::sin(pi / 360));
    const double circle = self_inductance_h(circle_outline(radius), g);
    EXPECT_NEAR(self_inductance_h(many, g), circle, 2e-4 * circle);
    EXPECT_NEAR(circle, ring_inductance_h(radius, g * std::exp(0.25)), 1e-6 * circle)
        << "Rayleigh and Niven's ring, uniform current";
}

}  // namespace thin_wire_test
