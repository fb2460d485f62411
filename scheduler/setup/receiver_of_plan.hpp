#pragma once

#include <complex>
#include <optional>

#include "model/ground/sensor_errors.hpp"
#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// Noise bandwidth of a window, bins (Harris 1978).
double noise_bandwidth_bins(plan::Window window);

/// Natural field's level at a local hour, 0 <= hour < 24.
model::receiver::NaturalLevel natural_level_at(const plan::Noise& noise, int hour);

/// What every E of a receiver as it is set up (plan::receiver_of) is multiplied by, as it is used: the wire's low-pass, or 1
/// where it is divided out or kept away.
std::complex<double> wire_response_of(const plan::Receiver& receiver, double frequency_hz);
/// Corner of the wire's low-pass, Hz; infinite where buffered or without capacitance.
double wire_corner_hz(const plan::Receiver& receiver);

/// What the sensors may be off by, whatever the dwell.
model::ground::SensorErrors sensor_errors_of(const plan::Receiver& receiver);

/// The plan if the noise of its coils were flat at its floor, without the slopes that a class of coils is assumed to have
/// below and above; empty where all coils are custom, whose noise the plan states itself.
std::optional<plan::Plan> with_flat_coils(const plan::Plan& plan);

/// Noise densities at one of the plan's stations, as the processed records have it: the converter's rounding is counted
/// with the sensors'; `mains` with the interferers whose level is given (an
/// unkeyed carrier has no density and adds nothing). `surface_impedance_ohm` is |Z| of the plane wave there.
/// InputError when the plan's own spectrum has a gap at this frequency.
model::receiver::NoiseAt noise_at_station(const plan::Plan& plan, const plan::Station& station, int hour,
                                          double frequency_hz, double surface_impedance_ohm);

}  // namespace ampturn::setup
