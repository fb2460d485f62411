#include "model/base/skin_depth.hpp"

#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::model {

double skin_depth_m(double resistivity_ohm_m, double frequency_hz) {
    return std::sqrt(resistivity_ohm_m / (pi * frequency_hz * mu0_h_per_m));
}

double bostick_depth_m(double resistivity_ohm_m, double frequency_hz) {
    return skin_depth_m(resistivity_ohm_m, frequency_hz) / std::sqrt(2.0);
}

}  // namespace ampturn::model
