#pragma once

#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Noise bandwidth of a window, bins (Harris 1978).
double noise_bandwidth_bins(Window window);

/// Natural field's level at a local hour, 0 <= hour < 24.
model::NaturalLevel natural_level_at(const Noise& noise, int hour);

/// Noise densities at one of the plan's stations; `mains` with the interferers whose level is given (an
/// unkeyed carrier has no density and adds nothing). `surface_impedance_ohm` is |Z| of the plane wave there.
/// InputError when the plan's own spectrum has a gap at this frequency.
model::NoiseAt noise_at_station(const Plan& plan, const Station& station, int hour, double frequency_hz,
                                double surface_impedance_ohm);

}  // namespace ampturn::plan
