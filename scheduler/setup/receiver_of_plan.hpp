#pragma once

#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// Noise bandwidth of a window, bins (Harris 1978).
double noise_bandwidth_bins(plan::Window window);

/// Natural field's level at a local hour, 0 <= hour < 24.
model::receiver::NaturalLevel natural_level_at(const plan::Noise& noise, int hour);

/// Noise densities at one of the plan's stations; `mains` with the interferers whose level is given (an
/// unkeyed carrier has no density and adds nothing). `surface_impedance_ohm` is |Z| of the plane wave there.
/// InputError when the plan's own spectrum has a gap at this frequency.
model::receiver::NoiseAt noise_at_station(const plan::Plan& plan, const plan::Station& station, int hour,
                                          double frequency_hz, double surface_impedance_ohm);

}  // namespace ampturn::setup
