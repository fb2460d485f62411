#pragma once

#include <cmath>

#include "model/loop/loop.hpp"

/// Vector algebra on points and directions in metres.
namespace ampturn::model::loop {

inline LoopPoint minus(const LoopPoint& a, const LoopPoint& b) {
    return {a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m};
}
inline LoopPoint scaled(const LoopPoint& a, double s) { return {a.x_m * s, a.y_m * s, a.z_m * s}; }
/// from + t direction.
inline LoopPoint along(const LoopPoint& from, const LoopPoint& direction, double t) {
    return {from.x_m + t * direction.x_m, from.y_m + t * direction.y_m, from.z_m + t * direction.z_m};
}
inline double dot(const LoopPoint& a, const LoopPoint& b) {
    return a.x_m * b.x_m + a.y_m * b.y_m + a.z_m * b.z_m;
}
inline LoopPoint cross(const LoopPoint& a, const LoopPoint& b) {
    return {a.y_m * b.z_m - a.z_m * b.y_m, a.z_m * b.x_m - a.x_m * b.z_m, a.x_m * b.y_m - a.y_m * b.x_m};
}
inline double size(const LoopPoint& a) { return std::sqrt(dot(a, a)); }

}  // namespace ampturn::model::loop
