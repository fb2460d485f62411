#include "scheduler/reference/thin_wire.hpp"

#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::reference {

using model::mu0_h_per_m;
using model::pi;
using model::loop::filament_mutual_h;
using model::loop::LoopOutline;
using model::loop::LoopPoint;

double self_inductance_thin_wire_h(const LoopOutline& outline, double gmr_m) {
    if (outline.is_circle())
        return mu0_h_per_m * outline.circle_radius_m * (std::log(8 * outline.circle_radius_m / gmr_m) - 2);
    const auto& v = outline.vertices;
    double sum = 0;
    for (std::size_t i = 0; i < v.size(); ++i) {
        const LoopPoint& next = v[(i + 1) % v.size()];
        const double side = distance_m(v[i], next);
        sum += mu0_h_per_m / (2 * pi) * side * (std::log(2 * side / gmr_m) - 1);
        for (std::size_t j = 0; j < v.size(); ++j)
            if (j != i) sum += filament_mutual_h(v[i], next, v[j], v[(j + 1) % v.size()]);
    }
    return sum;
}

double ring_inductance_h(double radius_m, double wire_radius_m) {
    const double q = wire_radius_m / radius_m;
    return mu0_h_per_m * radius_m * ((1 + q * q / 8) * std::log(8 / q) + q * q / 24 - 1.75);
}

}  // namespace ampturn::reference
