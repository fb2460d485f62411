#pragma once

#include <complex>
#include <cstdint>
#include <span>
#include <vector>

#include "scheduler/rehearse/process/line.hpp"
#include "scheduler/rehearse/record/recording.hpp"

namespace ampturn::rehearse::process {

/// What is about the line at a station.
struct LineSurroundings {
    record::DensityAt density;           // at the line, of natural field and sensors
    std::complex<double> impedance_ohm;  // E over H of a plane wave, as recorded
    model::receiver::ImpulseStatistics impulses;
    const record::MainsWave* mains;
    std::span<const record::KeyedCarrier> carriers;
    model::receiver::Adc adc_e, adc_h;
    std::uint64_t seed;
};

/// Line amplitudes of a step's records, drawn from the distribution that they have when the step is synthesised sample by
/// sample and read by LineDetector, without the samples:
///
/// - source: its lines through the window's response, ramps that a record reaches into taken off sample by sample;
/// - Gaussian part of the natural field, sensors, rounding of the converter (step^2/12 over half the sample rate, Bennett
///   1948): E|n|^2 = 2 S b/T, E and H tied as model::receiver::correlated_pair has them;
/// - impulses of the natural field: a Poisson train through the window, each with its own height and direction;
/// - mains and keyed interferers: as waves, along their own directions; the same as in the samples.
///
/// Taken as constant over the window's main lobe: densities and the ground's impedance. Neighbouring records share no noise.
/// A converter that meets its end is beyond this: synthesise such a step.
class LineDraw {
  public:
    /// source_hz: frequencies of the step's source lines, in receiver time. Limits as of LineDetector.
    LineDraw(double frequency_hz, const setup::Sampling& sampling, plan::Window window,
             std::span<const double> source_hz);

    /// A step of that frequency and sampling with those lines, else std::invalid_argument. A function of (around.seed,
    /// step.stream) and nothing else.
    LineRecords draw(const record::StepRecording& step, const LineSurroundings& around) const;

  private:
    struct Response {
        double frequency_hz;
        std::complex<double> above, below;  // of the line and of its image at the negative frequency
    };
    class Records;

    setup::Sampling sampling_;
    std::vector<double> weights_;
    LineDetector detector_;
    std::vector<Response> responses_;
    double coherent_gain_, noise_bandwidth_bins_;
};

}  // namespace ampturn::rehearse::process
