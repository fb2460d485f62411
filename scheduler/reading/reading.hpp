#pragma once

#include <string>

namespace ampturn::reading {

/// Power signal-to-noise ratios of the channels for one polarisation; noise as planned (see `natural_is_noise`).
struct ChannelSnr {
    double ex, ey, hx, hy, hz;
};

/// Judgement on one station and frequency.
enum class Verdict { usable, noisy, transition, near_field, not_sent };
const char* name_of(Verdict verdict);

struct Reading {
    int station_index, frequency_index;
    double frequency_hz;
    double offset_over_skin_depth;  // the rule of thumb, with the plane-wave apparent resistivity
    double dwell_a_s, dwell_b_s;    // added over the sweeps of the station
    double moment_a_a_m2, moment_b_a_m2;
    ChannelSnr snr_a, snr_b;  // natural field counted as noise
    double plane_resistivity_ohm_m, plane_phase_deg;
    double resistivity_xy_ohm_m, phase_xy_deg, resistivity_yx_ohm_m, phase_yx_deg;  // as recorded, noise-free
    // NaN where not both loops were sent: error bars, and the signal to noise of a loop that was not.
    // Error bars, the natural field counted as noise of E and H by themselves: the upper limit, which
    // decides. And correlated_*: as the plane wave it is, E and H correlated by the ground (model/ground/plane_wave_noise.hpp).
    double resistivity_sd_xy_percent, phase_sd_xy_deg, resistivity_sd_yx_percent, phase_sd_yx_deg;
    double correlated_resistivity_sd_xy_percent, correlated_phase_sd_xy_deg,
        correlated_resistivity_sd_yx_percent, correlated_phase_sd_yx_deg;
    double
        natural_signal_sd_percent;  // of apparent resistivity, when the natural field is the signal instead
    double bias_xy_percent, bias_xy_deg, bias_yx_percent, bias_yx_deg;
    double h_condition_number;
    bool required;  // a target of the plan
    Verdict verdict;
    std::string reason;  // one line, with the number that decides
};

}  // namespace ampturn::reading
