#pragma once

#include "model/transmitter/operating_point.hpp"

namespace ampturn::model::transmitter {

/// The operating point that a drive settles to if it goes on for ever: copper and switches warm, current and heat
/// agree. Found on the winding temperature T: T - (steady temperature with the current at T) is continuous, not
/// positive at air temperature, and positive above the solution; bracketed up to hottest_c. Not settled: the winding
/// is still warming there (thermal runaway), or there is no operating point at air temperature.
struct SteadyPoint {
    bool settled = false;
    Temperatures temperatures{};
    OperatingPoint point;
};
inline constexpr double hottest_c = 400;
SteadyPoint steady_operating_point(const Transmitter& transmitter, Conditions conditions,
                                   const DriveRequest& request, double ambient_c);

}  // namespace ampturn::model::transmitter
