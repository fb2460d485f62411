#pragma once

#include <vector>

#include "model/ground/earth.hpp"
#include "model/inversion/sounding_forward.hpp"
#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/result.hpp"

namespace ampturn::rehearse::station {

/// What the inversion's forward and its loops as dipoles may be off by, of apparent resistivity, relative; half of it,
/// radians, of phase. Added in squares to what noise and sensors leave. Estimate, no source.
inline constexpr double forward_error = 0.003;

/// The loops of a station's site as dipoles at their centres, and the station, for the source-aware forward.
model::inversion::DipolePair dipoles_of(const plan::Plan& plan,
                                        const model::transmitter::TransmitterDesign& transmitter,
                                        int station_index);

/// Inverts one station's curve four ways: smooth and few-layer, each as a plane wave (xy alone, as a crew
/// without the source's geometry would) and with the true source (xy and yx). Frequencies measured with error
/// bars below 50 % count; bars are the jackknife's, the sensors' and forward_error. The inversion does
/// not know the truth: it starts from the mean apparent resistivity, layers from the skin depths of the data,
/// permittivity 10. The few-layer inversion has one to five layers, as the data ask for
/// (model/inversion/layer_choice.hpp). What the finite loop adds to a dipole is found once, on the uniform
/// start ground. Fewer than 3 usable frequencies: no sections, and a note.
struct StationInversion {
    std::vector<double> frequencies_hz;
    std::vector<Section> sections;
    std::string note;
};
StationInversion invert_station(const plan::Plan& plan,
                                const model::transmitter::TransmitterDesign& transmitter, int station_index,
                                const std::vector<StationFrequencyResult>& measured);

/// A ground as a section of known layers.
std::vector<SectionLayer> section_of(const model::ground::LayeredEarth& earth);

}  // namespace ampturn::rehearse::station
