#include "model/base/skin_depth.hpp"

#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::model {

double skin_depth_m(double resistivity_ohm_m, double frequency_hz) {
    return std::sqrt(resistivity_ohm_m / (pi * frequency_hz * mu0_h_per_m));
}

}  // namespace ampturn::model
