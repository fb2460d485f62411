#pragma once

#include <map>
#include <optional>
#include <tuple>
#include <utility>

#include "model/transmitter/plant_flow.hpp"

namespace ampturn::model::transmitter {

/// Plant and transmitter over many short steps. Remembers what flowed when it was last asked, so that a reading and the step
/// that begins at the same moment solve the circuit once. Remembers the levels of ramps too: they last milliseconds
/// and come back with every sweep, so a level is solved anew only when what changed since then could matter in its
/// time (an energy of 1e-4 of one second's). The results are else those of read() and advance().
class RunningPlant {
  public:
    RunningPlant(Transmitter transmitter, PlantState state)
        : transmitter_(std::move(transmitter)), state_(state) {}

    const Transmitter& transmitter() const { return transmitter_; }
    /// Another battery bank on the same driver and loops; the charge stays as it is.
    void set_battery_bank(const BatteryBank& bank) {
        transmitter_.design.battery = bank;
        known_.reset();
        ramp_levels_.clear();
    }
    PlantState& state() { return state_; }
    const PlantState& state() const { return state_; }

    PlantReadings read(const Drive& drive) const;
    PlantResult advance(const Drive& drive, double dt_s);

  private:
    struct Known {
        PlantState state;
        Drive drive;
        Flow flow;
    };
    struct Level {
        Moving at;
        PlantFaults faults;
        Flow flow;
    };
    const Flow& flow_now(const Drive& drive) const;
    const Flow& flow_of_level(const Drive& drive, double dt_s);

    Transmitter transmitter_;
    PlantState state_;
    mutable std::optional<Known> known_;
    std::map<std::tuple<double, double, double, loop::LoopSelection, int, int>, Level> ramp_levels_;
};

}  // namespace ampturn::model::transmitter
