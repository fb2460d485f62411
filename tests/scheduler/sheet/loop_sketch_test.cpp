#include "scheduler/sheet/loop_sketch.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "tests/paths.hpp"

namespace ampturn::sheet {
namespace loop_sketch_test {

using testing::HasSubstr;

plan::Loop square(double tilt_deg) {
    plan::Loop loop;
    loop.side_m = 4;
    loop.centre_height_m = 3;
    loop.tilt_deg = tilt_deg;
    return loop;
}

struct Box {
    double east_m = 0, north_m = 0, up_m = 0;
};
Box half_sizes(const std::vector<WirePoint>& wire) {
    Box box;
    for (const WirePoint& p : wire) {
        box.east_m = std::max(box.east_m, std::abs(p.east_m));
        box.north_m = std::max(box.north_m, std::abs(p.north_m));
        box.up_m = std::max(box.up_m, std::abs(p.up_m));
    }
    return box;
}

TEST(LoopSketch, WireStandsWhereTheNormalSays) {
    // Closed form: a square of side 4 m lies in the plane normal to its azimuth and dip.
    const Box north = half_sizes(wire_of(square(0), 0));
    EXPECT_NEAR(north.east_m, 2, 1e-12);
    EXPECT_NEAR(north.north_m, 0, 1e-12);
    EXPECT_NEAR(north.up_m, 2, 1e-12);
    const Box east = half_sizes(wire_of(square(0), 90));
    EXPECT_NEAR(east.east_m, 0, 1e-12);
    EXPECT_NEAR(east.north_m, 2, 1e-12);
    const Box flat = half_sizes(wire_of(square(90), 0));
    EXPECT_NEAR(flat.north_m, 2, 1e-12);
    EXPECT_NEAR(flat.up_m, 0, 1e-12);
    for (const double azimuth_deg : {0.0, 33.0, 250.0})
        for (const double tilt_deg : {0.0, 25.0, 90.0}) {
            const double a = azimuth_deg * 0.017453292519943295, t = tilt_deg * 0.017453292519943295;
            for (const WirePoint& p : wire_of(square(tilt_deg), azimuth_deg))
                EXPECT_NEAR(p.east_m * std::sin(a) * std::cos(t) + p.north_m * std::cos(a) * std::cos(t) -
                                p.up_m * std::sin(t),
                            0, 1e-12);
        }
}

TEST(LoopSketch, SaysSizesAndRingAndDrawsTheRingToScale) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"));
    // Both loops 6 m wide (definition) and the ring 3 m beyond: 12 m across in 186 pixels, 15.5 a metre.
    const std::string svg = loop_sketch_svg(plan, {.azimuth_a_deg = 0, .azimuth_b_deg = 90, .keep_out_m = 3});
    EXPECT_THAT(svg, HasSubstr("ring: 3.0 m from any wire"));
    EXPECT_THAT(svg, HasSubstr("6 m wide, 6 m high"));
    EXPECT_THAT(svg, HasSubstr("lowest wire 0.5 m above ground"));
    EXPECT_THAT(svg, HasSubstr("class=\"inside\""));
    EXPECT_THAT(svg, HasSubstr("stroke-width=\"93.00\"")) << "closed form: twice 3 m at 15.5 pixels a metre";
}

}  // namespace loop_sketch_test
}  // namespace ampturn::sheet
