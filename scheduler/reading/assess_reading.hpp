#pragma once

#include <complex>

#include "model/ground/tensor.hpp"
#include "model/receiver/noise.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/reading.hpp"

namespace ampturn::plan {

/// Field at a station per unit moment (1 A m2 peak) of one loop.
struct FieldPerMoment {
    model::HorizontalFields horizontal;
    std::complex<double> hz_a_per_m;
};

/// What one polarisation put out for a station at a frequency, added over its sweeps: m is the root of the
/// dwell-weighted mean square, so that m^2 T is the sum of each sweep's m^2 T.
struct Transmission {
    double moment_a_m2_peak = 0;
    double dwell_s = 0;
    void add(double moment_a_m2, double added_dwell_s);
};

struct ReadingInput {
    double frequency_hz;
    FieldPerMoment a, b;
    Transmission sent_a, sent_b;
    model::NoiseAt noise;
    double window_enbw_bins = 1;  // noise bandwidth of the receiver's window
    std::complex<double> plane_impedance_ohm;
    double recorded_s = 0;  // whole time of recording, for the natural field's own sounding
    double offset_m;
};

/// Signal, noise, error bars and bias of one station and frequency, and the verdict with its reason.
///
///     SNR = |m G|^2 / (2 S b / T),   var = 2 S b / T in each channel
///
/// with the natural field counted as noise (it adds to S), m and T as sent. Error bars twice: with the
/// natural field independent in E and H, the upper limit, by which the verdict goes, and with both tied by
/// the ground. The bias is that of the noise-free fields. Fills everything of Reading but the
/// indices and `required`.
Reading assess_reading(const ReadingInput& input, const Targets& targets);

/// Relative standard deviation of apparent resistivity, in per cent, when the natural field is the signal: a
/// band of a tenth of the frequency is averaged over recorded_s. Sources: Bendat & Piersol, Random Data
/// (degrees of freedom of a band average, from memory); bandwidth: assumption.
double natural_sounding_sd_percent(const model::NoiseAt& noise, double frequency_hz, double recorded_s);

}  // namespace ampturn::plan
