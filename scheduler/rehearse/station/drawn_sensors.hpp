#pragma once

#include <cstdint>

#include "model/ground/sensor_errors.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::rehearse::station {

/// How far off the sensors of a rehearsal are, drawn from what the plan says they may be off by. A set goes from
/// station to station (plan::sensor_sets_standing): its gains are the same at all of them, others at each frequency. Azimuths and levels are laid out
/// anew at each station, and are the same at all frequencies. Common practice, no source.
model::ground::SensorsOff drawn_sensors(const plan::Receiver& receiver, std::uint64_t seed, int station_index,
                                        std::size_t sensor_set, std::size_t frequency_index);

}  // namespace ampturn::rehearse::station
