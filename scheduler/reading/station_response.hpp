#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/tensor_reading.hpp"
#include "scheduler/setup/sampling.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reading {

/// What the ground makes of the loops: fields per unit moment at every station, and the plane wave it is to resemble.
struct FrequencyResponse {
    double frequency_hz;
    // Station by station, each over its own ground.
    std::vector<std::complex<double>> plane_impedance_ohm;
    std::vector<setup::BackgroundCrest> background_crest;
    std::vector<FieldPerMoment> loop_a, loop_b;

    void resize(std::size_t stations) {
        plane_impedance_ohm.resize(stations);
        background_crest.resize(stations);
        loop_a.resize(stations);
        loop_b.resize(stations);
    }
};

/// The part of a reading of a receiver as it is set up (plan::receiver_of): window, wire, sensors.
void add_receiver(const plan::Receiver& receiver, ReadingInput& input);
/// The largest line of a channel, whichever loop sends it: what fields and moments alone make, without wire and window.
setup::Crest line_crest(const ReadingInput& input);
/// Whether the background and the line together are more than a converter takes, so that nothing is left to process.
bool clips(const plan::Receiver& receiver, const setup::Crest& background, const ReadingInput& input);

/// A reading at a station of the plan, given what was sent for it and its noise.
ReadingInput reading_input(const plan::Plan& plan, const FrequencyResponse& response,
                           std::size_t station_index, const Transmission& sent_a, const Transmission& sent_b,
                           const model::receiver::NoiseAt& noise);

struct FieldDetail {
    /// Error allowed, of the largest component of E and of H (model::FieldOptions).
    double tolerance_rel = 1e-6;
};

/// Fields of both loops of each station's own site, full wave, over the station's own ground laid out sideways without end, at
/// the table's frequencies; E as the electric dipoles
/// have it, the mean along the wire (three Gauss points, 1e-6 of E where a dipole is a third of the offset or of a skin depth).
/// threads >= 1:
/// results do not depend on it.
std::vector<FrequencyResponse> station_responses(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                 unsigned threads = 1, const FieldDetail& detail = {});
/// The same at other frequencies.
std::vector<FrequencyResponse> station_responses(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                 const std::vector<double>& frequencies_hz,
                                                 unsigned threads = 1, const FieldDetail& detail = {});
/// The same with all stations over one earth, whatever theirs is.
std::vector<FrequencyResponse> station_responses(const plan::Plan& plan,
                                                 const model::transmitter::TransmitterDesign& transmitter,
                                                 const model::ground::LayeredEarth& earth,
                                                 const std::vector<double>& frequencies_hz,
                                                 unsigned threads = 1, const FieldDetail& detail = {});

/// Largest difference of two sets of responses: of a station's E or H vector, relative to that vector.
double largest_difference_rel(const std::vector<FrequencyResponse>& a,
                              const std::vector<FrequencyResponse>& b);

}  // namespace ampturn::reading
