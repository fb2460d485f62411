#pragma once

#include <cstddef>

#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// How a step is sampled and cut into records. The plan's sample rate and record length are halved together as long
/// as the rate stays at seven times the line's frequency or more (so that the third harmonic is still inside): the
/// same recording after an ideal decimating filter, at a fraction of the work. Records are then halved until a dwell
/// holds at least `records_wanted` of them or they would be shorter than 32 cycles or 64 samples.
struct Sampling {
    double sample_rate_hz;
    std::size_t record_length;
    std::size_t record_count;  // whole records inside the dwell; 0: the dwell is too short for one
    double decimation;         // plan's rate over sample_rate_hz

    /// What of the dwell is in whole records.
    double recorded_s() const {
        return static_cast<double>(record_count) * static_cast<double>(record_length) / sample_rate_hz;
    }
};
inline constexpr std::size_t records_wanted = 8;
/// A line at or above half the plan's sample rate: record_count is 0.
Sampling sampling_for(const plan::Receiver& receiver, double frequency_hz, double dwell_s);

/// Largest values of a magnetic and an electric channel.
struct Crest {
    double h_a_per_m = 0, e_v_per_m = 0;
};
/// Most that everything but the line comes to below half the sample rate, all in phase: mains with its harmonics, and the
/// interferers whose level is given. What the converter has to take whatever line is looked at. The natural field, far
/// below any range that is wide enough for these, is left out.
struct BackgroundCrest {
    Crest per_mains_t;  // over the rms of the fundamental's B
    Crest interferers;

    Crest with_mains(double mains_b_t) const {
        return {.h_a_per_m = interferers.h_a_per_m + mains_b_t * per_mains_t.h_a_per_m,
                .e_v_per_m = interferers.e_v_per_m + mains_b_t * per_mains_t.e_v_per_m};
    }
};
/// Of what is heard everywhere over a ground.
BackgroundCrest background_crest(const plan::Plan& plan, const model::ground::LayeredEarth& earth);
/// The same with the interferers that a station over that ground hears beside those.
BackgroundCrest background_crest_at(const plan::Plan& plan, const plan::Station& station,
                                    const model::ground::LayeredEarth& ground, BackgroundCrest everywhere);

/// Rms of the fundamental at a station.
double mains_b_t(const plan::Plan& plan, const plan::Station& station);

}  // namespace ampturn::setup
