#pragma once

#include <optional>
#include <vector>

#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::setup {

/// A step whose current or capacitor volts pass, while the drive rises, what the unit or the capacitor bears: loops with
/// a capacitor beat when they are driven beside their resonance.
struct RiseOverLimit {
    int step_number;  // from 1
    double frequency_hz;
    double peak_a;
    double capacitor_peak_v;  // 0 without one
    bool trips, over_rating;  // of the unit's over-current, of the capacitor
};
struct RisesOverLimit {
    std::vector<RiseOverLimit> steps;
    /// The least power of two with which, as the ramp of all steps, nothing passes its limit; tried. None up to the longest.
    std::optional<int> mending_cycles;
};

/// Loop A where both send. Under the condition the table was made for; currents held otherwise than by pulse width do
/// not rise past their limit and are left out, as is what the battery cannot deliver.
RisesOverLimit rises_over_limit(const plan::Plan& plan, const SweepSetup& setup);

}  // namespace ampturn::setup
