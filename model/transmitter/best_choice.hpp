#pragma once

#include "model/transmitter/operating_point.hpp"

namespace ampturn::model::transmitter {

/// Largest moment (of both loops together for `both`, whose taps must be as many) over all taps and capacitors (and none) within the limits; ties go to the lower power.
/// Branch and bound: the unlimited fundamental is an upper bound, so the result equals the exhaustive search; for
/// `both` and where a closed idle loop is coupled every candidate is tried.
struct BestChoice {
    int tap_index = 0;
    int capacitor_index = -1;
    OperatingPoint point;
    int evaluated = 0;  ///< operating points solved, of taps * (capacitors + 1)
};
BestChoice best_tap_and_capacitor(const Transmitter& transmitter, const Conditions& conditions,
                                  DriveRequest request);

}  // namespace ampturn::model::transmitter
