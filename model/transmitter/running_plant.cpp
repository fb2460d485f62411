#include "model/transmitter/running_plant.hpp"

#include <algorithm>

namespace ampturn::model::transmitter {

namespace {

constexpr double longest_level_s = 0.1;
constexpr double most_factor = 300;  // 6 K of the windings, 15 K of the electronics, 1.5 % of the voltage

}  // namespace

const Flow& RunningPlant::flow_now(const Drive& drive) const {
    if (!known_ || known_->state != state_ || known_->drive != drive) {
        const Moving m{state_.charge, state_.winding_c, state_.electronics_c};
        known_ = {state_, drive, PlantFlow(transmitter_, state_, drive).flow(m)};
    }
    return known_->flow;
}

PlantReadings RunningPlant::read(const Drive& drive) const {
    const Flow& flow = flow_now(drive);
    return PlantFlow(transmitter_, state_, drive)
        .readings({state_.charge, state_.winding_c, state_.electronics_c}, flow);
}

const Flow& RunningPlant::flow_of_level(const Drive& drive, double dt_s) {
    const double factor = std::min(most_factor, 1 / dt_s);
    const PlantFlow plant(transmitter_, state_, drive);
    const Moving now{state_.charge, state_.winding_c, state_.electronics_c};
    const auto [found, fresh] = ramp_levels_.try_emplace({drive.frequency_hz, drive.target_fundamental_peak_a,
                                                          drive.amplitude_fraction, drive.loop,
                                                          drive.tap_index, drive.capacitor_index});
    Level& level = found->second;
    // Near a cut-off, and with no battery, nothing is taken over.
    const bool usable = !fresh && !state_.cut_off && level.faults == state_.faults &&
                        level.flow.cutoff_margin_v > 0.06 * level.flow.battery_v &&
                        plant.alike(level.at, level.flow.battery, now, factor);
    if (!usable) level = {now, state_.faults, plant.flow(now)};
    return level.flow;
}

PlantResult RunningPlant::advance(const Drive& drive, double dt_s) {
    if (drive.mode == DriveMode::sending && drive.amplitude_fraction < 1 && dt_s < longest_level_s)
        return advance_from(transmitter_, state_, drive, dt_s, &flow_of_level(drive, dt_s));
    return advance_from(transmitter_, state_, drive, dt_s, &flow_now(drive));
}

}  // namespace ampturn::model::transmitter
