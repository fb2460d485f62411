#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "model/inversion/layer_choice.hpp"

namespace ampturn::rehearse::station {

/// What a rehearsal gives: plain data. Amplitudes peak, densities one-sided, angles degrees.

/// Standard deviations of apparent resistivity and phase.
struct Bars {
    double resistivity_percent, phase_deg;
};

/// One element of the tensor (xy, or yx with its sign turned) at one station and frequency.
struct CurvePoint {
    std::complex<double> impedance_ohm, true_impedance_ohm;  // as measured; noise-free with this source
    std::complex<double> recordable_impedance_ohm;           // noise-free, by the rehearsal's sensors
    double variance_ohm2, planned_variance_ohm2;  // jackknife; planned with natural field correlated
    double resistivity_ohm_m, phase_deg;
    double true_resistivity_ohm_m, true_phase_deg;
    Bars jackknife;
    Bars
        planned;  // of the noise; natural field and mains correlated by the ground, as the synthesis has them
    Bars sensors;        // what the sensors may be off by: no dwell takes it away, and no record shows it
    Bars planned_upper;  // natural field and mains counted as uncorrelated noise: the upper limit
    double coherence2;
};

/// The natural field's own sounding in a band beside a line.
struct NaturalPoint {
    double centre_hz;
    double resistivity_low_ohm_m;   // H as reference: noise of H pulls it down
    double resistivity_high_ohm_m;  // E as reference: noise of E pushes it up
    double phase_deg;
    Bars jackknife;  // of the lower one
    double coherence2;
    double true_resistivity_ohm_m, true_phase_deg;  // plane wave
};

struct StationFrequencyResult {
    int station_index, frequency_index;
    double frequency_hz;
    int mains_clash_order;  // 0: clear of the mains
    bool measured;
    std::string why_not;  // empty when measured
    CurvePoint xy, yx;
    double plane_resistivity_ohm_m, plane_phase_deg;
    double h_condition_number;
    double weight;     // mean robust weight of both rows
    double energy_wh;  // of both loops' steps
    double sample_rate_hz, record_s;
    int records_a, records_b;
    double dwell_a_s, dwell_b_s;  // used
    std::uint64_t clipped_samples;
    std::vector<NaturalPoint> natural;
};

/// Spectrum of a station, pieced together from its steps: each contributes what lies about its line.
struct SpectrumPoint {
    double frequency_hz;
    double e_v_per_m_rthz, h_a_per_m_rthz;  // root of the mean of both axes
    bool line;
};

/// A layered ground with what is known of it.
struct SectionLayer {
    double top_m, resistivity_ohm_m;
    double sd_decades;  // of log10 resistivity; NaN where the data say nothing
};
struct Section {
    std::string name;  // "smooth, plane wave", ...
    bool source_aware, smooth;
    std::vector<SectionLayer> layers;
    double misfit_rms;
    bool reached_target;
    int iterations;
    double depth_of_investigation_m;
    double parameters_resolved;                                // trace of the resolution matrix
    std::vector<double> fit_resistivity_ohm_m, fit_phase_deg;  // xy, at the frequencies used
    std::vector<double> interface_m, interface_sd_m;           // few layers only
    std::vector<model::inversion::LayerTrial> layer_trials;    // few layers only: how many were tried
};

struct StationResult {
    std::string name;
    double offset_m, bearing_deg;
    std::vector<SectionLayer> truth;                // of a ground of its own; empty: that of the survey
    double clock_error_ppm, clock_error_found_ppm;  // receiver sees the line high by so much
    std::vector<SpectrumPoint> spectrum;
    std::vector<double> inverted_frequencies_hz;
    std::vector<Section> sections;
    std::string note;  // why there are no sections, for instance
};

/// A bar with what the sensors may be off by: what a crew may claim.
Bars with_sensors(const Bars& jackknife, const Bars& sensors);

/// How well the three ways to an error bar of the noise agree, over all elements planned with less than 30 % error and
/// clear of the mains (a harmonic that wanders is no steady density: how much of it a dwell meets is chance).
struct Agreement {
    int elements;
    double scatter_over_planned;          // root mean square of |Z - recordable|^2 / planned variance
    double jackknife_over_planned;        // root mean of variance / planned variance
    double inside_one_sd, inside_two_sd;  // of ln rho and phase, against the jackknife's bars (68.3, 95.4 %)
    double planned_upper_over_planned;    // root mean of the variances
};

struct FrequencyInformation {
    double frequency_hz;
    double information_nats;       // alone, nuisances known
    double information_loss_nats;  // what the whole would lose without it
    double energy_wh;
    double nats_per_wh;  // information_loss_nats over energy_wh
};

struct Answer {
    bool asked;
    std::string text, sentence;
    bool two_grounds;
    double probability;  // that the answer comes out right with the confidence asked for
    double confidence;   // asked for
    double
        probability_right;  // that the likelihood ratio points to the right ground; depth: inside the bounds
    double distance;        // two grounds: root of Mahalanobis distance; depth: within over sd
    double depth_sd_m;      // depth only
    int runs;
    std::vector<std::string> stations;
    std::vector<FrequencyInformation> frequencies;
};

struct RehearsalResult {
    std::string plan_path, plan_crc32, survey_name;
    bool invented;
    std::uint64_t seed;
    std::vector<double> frequencies_hz;
    std::vector<StationResult> stations;
    std::vector<StationFrequencyResult> measured;  // station by station, frequency by frequency
    std::vector<SectionLayer> truth;               // [earth]
    Agreement agreement;
    Answer answer;
    std::vector<std::string> notes;  // what was assumed or left out
};

}  // namespace ampturn::rehearse::station
