// What the installed library gives: skin depth, a plane wave's sounding, and the field of a vertical dipole on the ground.
#include <complex>
#include <cstdio>
#include <vector>

#include "model/base/check_range.hpp"
#include "model/base/skin_depth.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "model/ground/plane_wave.hpp"

namespace model = ampturn::model;

int main() {
    constexpr double resistivity_ohm_m = 100, frequency_hz = 2000, offset_m = 300, moment_a_m2 = 5000;
    const model::ground::LayeredEarth earth(
        std::vector<model::ground::Layer>{{.resistivity_ohm_m = resistivity_ohm_m}});
    const auto quasi_static = model::ground::Wavenumbers::quasi_static;

    std::printf("skin_depth_m %.12g\n", model::skin_depth_m(resistivity_ohm_m, frequency_hz));

    const std::complex<double> impedance_ohm =
        model::ground::plane_wave_impedance_ohm(earth, frequency_hz, quasi_static);
    std::printf("apparent_resistivity_ohm_m %.12g\n",
                model::ground::apparent_resistivity_ohm_m(impedance_ohm, frequency_hz));
    std::printf("phase_deg %.12g\n", model::ground::impedance_phase_deg(impedance_ohm));

    const model::fields::FieldResult at =
        model::fields::field(earth, frequency_hz, model::fields::Dipole{.moment_a_m2 = {0, 0, moment_a_m2}},
                             {.x_m = offset_m, .y_m = 0}, {.wavenumbers = quasi_static});
    std::printf("hz_a_per_m %.12g %.12g\n", at.fields.hz_a_per_m.real(), at.fields.hz_a_per_m.imag());
    std::printf("ey_v_per_m %.12g %.12g\n", at.fields.ey_v_per_m.real(), at.fields.ey_v_per_m.imag());

    try {
        model::ground::LayeredEarth(std::vector<model::ground::Layer>{{.resistivity_ohm_m = -1}});
    } catch (const model::RangeError& error) {
        std::printf("refused %s\n", error.name().c_str());
    }
}
