#pragma once

namespace ampturn::model {

/// Depth at which a plane wave in a uniform earth has fallen to 1/e.
///
///     delta = sqrt(rho / (pi f mu0))
///
/// resistivity_ohm_m > 0, frequency_hz > 0; returns metres; NaN in, NaN out; never throws.
/// Valid while displacement current is negligible, 2 pi f eps rho << 1: at 20 kHz, 1000 ohm m
/// and eps_r = 10 that product is 0.011. Accuracy: a few ulp. Source: Jackson (1998), sec. 5.18.
double skin_depth_m(double resistivity_ohm_m, double frequency_hz);

}  // namespace ampturn::model
