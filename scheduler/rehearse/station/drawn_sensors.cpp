#include "scheduler/rehearse/station/drawn_sensors.hpp"

#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::station {

model::ground::SensorsOff drawn_sensors(const plan::Receiver& receiver, std::uint64_t seed, int station_index,
                                        std::size_t sensor_set, std::size_t frequency_index) {
    const model::ground::SensorErrors errors = setup::sensor_errors_of(receiver);
    const std::uint64_t of_first_set = run::combine(run::stream_of("sensor gains"), frequency_index);
    const run::CounterRandom gains(seed,
                                   sensor_set == 0 ? of_first_set : run::combine(of_first_set, sensor_set));
    const run::CounterRandom laid(
        seed, run::combine(run::stream_of("sensors laid out"), static_cast<std::uint64_t>(station_index)));
    model::ground::SensorsOff off;
    for (std::size_t i = 0; i < off.gain.size(); ++i) {
        const auto [size, phase] = gains.normal_pair(i);
        off.gain[i] += errors.gain_rel * std::complex<double>(size, phase);
        off.turned_rad[i] = errors.azimuth_rad * laid.normal(i);
    }
    for (std::size_t i = 0; i < off.off_level_rad.size(); ++i)
        off.off_level_rad[i] = errors.level_rad * laid.normal(off.turned_rad.size() + i);
    return off;
}

}  // namespace ampturn::rehearse::station
