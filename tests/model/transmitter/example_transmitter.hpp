#pragma once

#include "model/transmitter/transmitter.hpp"

// An invented transmitter for tests: 10 m square of 10 turns of 2.5 mm2, 24 V of lead-acid, no converter.
namespace ampturn::model::transmitter {

inline TransmitterDesign example_design() {
    TransmitterDesign d;
    d.loop_a.outline = loop::square_outline(10);
    d.loop_a.wire = loop::wire_of_area(2.5e-6);
    d.loop_a.pitch_m = 3.6e-3;
    d.loop_a.taps = {2, 5, 10};
    d.loop_a.lead_resistance_ohm = 0.05;
    d.loop_a.centre_height_m = 6;
    d.loop_b = d.loop_a;
    d.loop_b->normal_azimuth_deg = 90;
    d.capacitors = {{1e-6, 0.05, 2000, 1e6, 0.01}, {10e-6, 0.05, 600, 1e6, 0.01}};
    d.battery.block = typical_block(Chemistry::lead_agm, 12, 40);
    d.battery.series = 2;
    d.limits.rms_a = 12;
    return d;
}
inline Transmitter example_transmitter() { return prepare(example_design()); }

}  // namespace ampturn::model::transmitter
