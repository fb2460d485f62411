#include "scheduler/plan/loop_outline.hpp"

#include <cmath>
#include <numbers>
#include <utility>

namespace ampturn::plan {

model::loop::LoopOutline outline_of(const Loop& loop) {
    switch (loop.shape) {
        case LoopShape::square:
            return model::loop::square_outline(loop.side_m);
        case LoopShape::rectangle:
            return model::loop::rectangle_outline(loop.width_m, loop.height_m);
        case LoopShape::rhombus:
            return model::loop::rhombus_outline(loop.width_m, loop.height_m);
        case LoopShape::triangle:
            return model::loop::triangle_outline(loop.width_m, loop.height_m);
        case LoopShape::regular_polygon:
            return model::loop::regular_polygon_outline(loop.corners, loop.side_m);
        case LoopShape::circle:
            return model::loop::circle_outline(loop.diameter_m / 2);
        case LoopShape::polygon:
            break;
    }
    std::vector<model::loop::LoopPoint> vertices;
    for (const auto& [right_m, up_m] : loop.vertices_m) vertices.push_back({right_m, up_m, 0});
    return model::loop::polygon_outline(std::move(vertices));
}

double loop_drop_m(const Loop& loop) {
    return outline_of(loop).drop_m() * std::abs(std::cos(loop.tilt_deg * std::numbers::pi / 180));
}

}  // namespace ampturn::plan
