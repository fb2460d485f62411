#pragma once

#include <cstdint>
#include <optional>

#include "firmware-sim/site/site.hpp"

namespace ampturn::sim::session {

/// One step of the table as it was sent: what the log sheet needs of it.
struct TransmittedStep {
    int step_number = 0;   // from 1
    int sweep_number = 0;  // from 1
    core::Step step;
    std::uint64_t start_tick = 0, end_tick = 0;  // of the dwell at full amplitude
    /// Phase of the drive at the next UTC second after the start, thousandths of a
    /// degree; none when UTC is not known.
    std::optional<std::uint64_t> phase_at_second_mdeg;
    bool complete = false;
    // Means of the unit's own readings in the dwell; nothing when it was shorter than a sampling period.
    int readings = 0;
    double current_ma_peak = 0, bus_mv = 0, battery_mv = 0;
};

/// Watches the unit and hands out each step when its dwell is over.
class StepRecorder {
  public:
    /// After anything that may have moved the unit.
    std::optional<TransmittedStep> watch(const site::Site& site);
    /// Adds the unit's last reading to the dwell in hand, if it was taken in it (readings are at most 0.5 s
    /// old).
    void add_reading(const site::Site& site);

  private:
    std::optional<TransmittedStep> current_;
};

}  // namespace ampturn::sim::session
