#include "scheduler/plan/loop_outline.hpp"

#include <cmath>
#include <numbers>
#include <utility>

namespace ampturn::plan {

model::LoopOutline outline_of(const Loop& loop) {
    switch (loop.shape) {
        case LoopShape::square:
            return model::square_outline(loop.side_m);
        case LoopShape::rectangle:
            return model::rectangle_outline(loop.width_m, loop.height_m);
        case LoopShape::rhombus:
            return model::rhombus_outline(loop.width_m, loop.height_m);
        case LoopShape::triangle:
            return model::triangle_outline(loop.width_m, loop.height_m);
        case LoopShape::regular_polygon:
            return model::regular_polygon_outline(loop.corners, loop.side_m);
        case LoopShape::circle:
            return model::circle_outline(loop.diameter_m / 2);
        case LoopShape::polygon:
            break;
    }
    std::vector<model::LoopPoint> vertices;
    for (const auto& [right_m, up_m] : loop.vertices_m) vertices.push_back({right_m, up_m, 0});
    return model::polygon_outline(std::move(vertices));
}

double loop_drop_m(const Loop& loop) {
    return outline_of(loop).drop_m() * std::abs(std::cos(loop.tilt_deg * std::numbers::pi / 180));
}

}  // namespace ampturn::plan
