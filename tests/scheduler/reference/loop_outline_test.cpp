#include "scheduler/plan/loop_outline.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace loop_outline_test {

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
        {"pentagon on a side: the apothem below the centre",
         with(LoopShape::regular_polygon, [](Loop& l) { l.side_m = 2, l.corners = 5; }), 5 / std::tan(pi / 5),
         1 / std::sin(pi / 5), 1 / std::tan(pi / 5)},
        {"circle", with(LoopShape::circle, [](Loop& l) { l.diameter_m = 10; }), 25 * pi, 5, 5},
        {"polygon given anticlockwise, off origin",
         with(LoopShape::polygon,
              [](Loop& l) {
                  l.vertices_m = {{10, 10}, {14, 10}, {14, 12}, {10, 12}};
              }),
         8, std::sqrt(5.0), 1},
    };
    for (const Row& row : rows) {
        const ampturn::model::loop::LoopOutline outline = outline_of(row.loop);
        EXPECT_NEAR(outline.area_m2(), row.area_m2, 1e-12 * row.area_m2) << row.what;
        EXPECT_NEAR(outline.reach_m(), row.reach_m, 1e-12 * row.reach_m) << row.what;
        EXPECT_NEAR(loop_drop_m(row.loop), row.drop_m, 1e-12 * row.reach_m) << row.what;
        EXPECT_FALSE(side_that_meets_another(outline.vertices, outline.normal())) << row.what;
        Loop flat = row.loop;
        flat.tilt_deg = 90;
        EXPECT_NEAR(loop_drop_m(flat), 0, 1e-12 * row.reach_m) << row.what;
    }
}

TEST(LoopOutline, SeesSidesThatMeet) {
    const auto meets = [](std::vector<ampturn::model::loop::LoopPoint> vertices) {
        return side_that_meets_another(vertices, {0, 0, 1}).has_value();
    };
    EXPECT_TRUE(meets({{0, 0, 0}, {1, 1, 0}, {1, 0, 0}, {0, 1, 0}}));             // bow tie
    EXPECT_TRUE(meets({{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {2, 0, 0}, {0, 4, 0}}));  // corner on a side
    EXPECT_FALSE(meets({{0, 0, 0}, {0, 1, 0}, {1, 0, 0}}));
    EXPECT_FALSE(meets({{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {2, 1, 0}, {0, 4, 0}}));
}

}  // namespace loop_outline_test
