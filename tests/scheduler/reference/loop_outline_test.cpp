#include "scheduler/plan/loop_outline.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace {

using namespace ampturn::plan;

struct Row {
    const char* what;
    Loop loop;
    double area_m2, reach_m, drop_m;
};

Loop with(LoopShape shape, void (*set)(Loop&)) {
    Loop loop;
    loop.shape = shape;
    set(loop);
    return loop;
}

// Closed forms of plane geometry; the centre is the area's centroid.
TEST(LoopOutline, MatchesClosedForms) {
    const double pi = std::numbers::pi;
    const Row rows[] = {
        {"square", with(LoopShape::square, [](Loop& l) { l.side_m = 6; }), 36, 3 * std::numbers::sqrt2, 3},
        {"rectangle", with(LoopShape::rectangle, [](Loop& l) { l.width_m = 8, l.height_m = 6; }), 48, 5, 3},
        {"rhombus", with(LoopShape::rhombus, [](Loop& l) { l.width_m = 11, l.height_m = 8; }), 44, 5.5, 4},
        {"triangle: centroid a third above the base",
         with(LoopShape::triangle, [](Loop& l) { l.width_m = 6, l.height_m = 9; }), 27, 6, 3},
        {"hexagon on a side", with(LoopShape::regular_polygon, [](Loop& l) { l.side_m = 2, l.corners = 6; }),
         6 * std::sqrt(3.0), 2, std::sqrt(3.0)},
        {"circle as 64 corners", with(LoopShape::circle, [](Loop& l) { l.diameter_m = 10; }),
         32 * 25 * std::sin(2 * pi / 64), 5, 5 * std::cos(pi / 64)},
        {"polygon given anticlockwise, off origin",
         with(LoopShape::polygon,
              [](Loop& l) {
                  l.vertices_m = {{10, 10}, {14, 10}, {14, 12}, {10, 12}};
              }),
         8, std::sqrt(5.0), 1},
    };
    for (const Row& row : rows) {
        const auto outline = loop_outline_m(row.loop);
        EXPECT_NEAR(outline_area_m2(outline), row.area_m2, 1e-12 * row.area_m2) << row.what;
        EXPECT_NEAR(loop_reach_m(row.loop), row.reach_m, 1e-12 * row.reach_m) << row.what;
        EXPECT_NEAR(loop_drop_m(row.loop), row.drop_m, 1e-12 * row.reach_m) << row.what;
        EXPECT_FALSE(outline_crosses_itself(outline)) << row.what;
        Loop flat = row.loop;
        flat.tilt_deg = 90;
        EXPECT_NEAR(loop_drop_m(flat), 0, 1e-12 * row.reach_m) << row.what;
    }
}

TEST(LoopOutline, SeesCrossedSides) {
    EXPECT_TRUE(outline_crosses_itself({{0, 0}, {1, 1}, {1, 0}, {0, 1}}));          // bow tie
    EXPECT_TRUE(outline_crosses_itself({{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}));  // corner on a side
    EXPECT_FALSE(outline_crosses_itself({{0, 0}, {0, 1}, {1, 0}}));
    EXPECT_FALSE(outline_crosses_itself({{0, 0}, {4, 0}, {4, 4}, {2, 1}, {0, 4}}));
}

}  // namespace
