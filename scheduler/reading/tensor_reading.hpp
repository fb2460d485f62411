#pragma once

#include <complex>
#include <optional>

#include "model/ground/sensor_errors.hpp"
#include "model/ground/tensor.hpp"
#include "model/receiver/noise.hpp"

namespace ampturn::reading {

/// The one place where a station's impedance tensor at a frequency, its error bars and its bias come from:
/// fields per unit moment, what was sent and noise go in.

/// Field at a station per unit moment (1 A m2 peak) of one loop.
struct FieldPerMoment {
    model::ground::HorizontalFields horizontal;
    std::complex<double> hz_a_per_m;
};

/// What one polarisation put out for a station at a frequency, added over its sweeps: m is the root of the
/// dwell-weighted mean square, so that m^2 T is the sum of each sweep's m^2 T. An infinite dwell leaves no
/// noise.
struct Transmission {
    double moment_a_m2_peak = 0;
    double dwell_s = 0;
    void add(double moment_a_m2, double added_dwell_s);
    bool sent() const { return dwell_s > 0 && moment_a_m2_peak > 0; }
};

/// What of the noise is a plane wave over the ground, with E and H correlated by it. Planning takes the
/// natural field alone: the lines whose mains are heard are often too near for a plane wave. A rehearsal
/// synthesises its mains as plane waves too, and is predicted as such.
enum class PlaneWaves { natural_field, natural_field_and_mains };

/// Why a step that was sent gives nothing to process.
enum class NoRecord {
    none,
    dwell_too_short,  // no whole record fits the dwell
    clipped           // background and line together are beyond the converter
};

struct ReadingInput {
    double frequency_hz;
    FieldPerMoment a, b;
    Transmission sent_a, sent_b;
    Transmission together_a = {}, together_b = {};  // by steps that send both at once: no part of the tensor
    model::receiver::NoiseAt noise;
    PlaneWaves plane_waves = PlaneWaves::natural_field;
    double window_enbw_bins = 1;             // noise bandwidth of the receiver's window
    std::complex<double> wire_response = 1;  // every E as used over E in the ground; the noise has it already
    model::ground::SensorErrors sensors;     // none: sensors that are what they are taken for
    NoRecord no_record = NoRecord::none;     // why what was sent gave nothing to process
    std::complex<double> plane_impedance_ohm;
    double recorded_s = 0;  // whole time of recording, for the natural field's own sounding
    double offset_m = 0;
};

/// Error variance E|n|^2 of a channel's complex amplitude, 2 S b / T.
double amplitude_variance(double psd, double enbw_bins, double dwell_s);

/// How the noise's plane waves count.
enum class NoiseView {
    uncorrelated,  // as noise of E and of H by themselves: the upper limit, by which a reading is accepted
    correlated     // as what they are, E and H correlated by the ground (model/ground/plane_wave_noise.hpp)
};

/// The noise-free tensor with both kinds of error bar, and the plane wave it is to resemble.
struct TensorReading {
    double frequency_hz;
    bool
        both_sent;  // and recorded; else the tensor and its bias are those of the fields, and there are no error bars
    std::complex<double> plane_impedance_ohm;
    model::ground::TensorEstimate uncorrelated, correlated;  // one impedance, two variances, sensors counted
    model::ground::TensorVariance sensors;                   // the part of them that no dwell takes away

    const model::ground::TensorEstimate& in(NoiseView view) const {
        return view == NoiseView::correlated ? correlated : uncorrelated;
    }
    model::ground::SoundingPoint xy(NoiseView view = NoiseView::uncorrelated) const;
    model::ground::SoundingPoint yx(NoiseView view = NoiseView::uncorrelated) const;
    model::ground::PlaneWaveBias bias_xy() const;
    model::ground::PlaneWaveBias bias_yx() const;
};

/// Of the two loops' fields; they must not be parallel.
model::ground::Tipper tipper_of(const ReadingInput& input);

/// std::domain_error where the two magnetic fields are parallel, so that there is no tensor.
TensorReading read_tensor(const ReadingInput& input);
/// The same for searches over places: nothing where there is no tensor.
std::optional<TensorReading> read_tensor_if_any(const ReadingInput& input);

/// The same with the noise of one second of one loop, no noise of the other and perfect sensors. Every variance of a reading
/// is a's over T_A and b's over T_B: linear in the channels' variances, and these fall as one over the dwell.
struct OneSecondReadings {
    TensorReading a, b;
    model::ground::TensorVariance sensors;  // what the input's own sensors add to either, whatever the dwells
};
/// std::domain_error as read_tensor.
OneSecondReadings read_one_second_of_each(ReadingInput input);

}  // namespace ampturn::reading
