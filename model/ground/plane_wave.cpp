#include "model/ground/plane_wave.hpp"

#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/complex_root.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::ground {

namespace {
using Complex = std::complex<double>;

/// tanh of a number with a real part >= 0; exact to a few ulp also near 0 and far out.
Complex tanh_right(Complex x) {
    if (std::abs(x) < 1e-2) {
        const Complex s = x * x;
        return x * (1.0 + s * (-1.0 / 3 + s * (2.0 / 15 + s * (-17.0 / 315 + s * (62.0 / 2835)))));
    }
    const Complex e = std::exp(-2.0 * x);
    return (1.0 - e) / (1.0 + e);
}
}  // namespace

std::complex<double> plane_wave_impedance_ohm(const LayeredEarth& earth, double frequency_hz,
                                              Wavenumbers wavenumbers) {
    check_range(frequency_hz, "frequency_hz", 1e-4, 1e6);
    const double omega = 2 * pi * frequency_hz;
    Complex impedance = 0;
    for (std::size_t i = earth.size(); i-- > 0;) {
        const Complex z(0, omega * mu0_h_per_m * earth[i].relative_permeability);
        const Complex y = earth.admittivity(i, omega, wavenumbers == Wavenumbers::full).horizontal_s_per_m;
        const Complex gamma = principal_root(z * y);
        const Complex intrinsic = z / gamma;
        if (i + 1 == earth.size()) {
            impedance = intrinsic;
        } else {
            const Complex th = tanh_right(gamma * earth[i].thickness_m);
            impedance = intrinsic * (impedance + intrinsic * th) / (intrinsic + impedance * th);
        }
    }
    return impedance;
}

double apparent_resistivity_ohm_m(std::complex<double> impedance_ohm, double frequency_hz) {
    return std::norm(impedance_ohm) / (2 * pi * frequency_hz * mu0_h_per_m);
}

double impedance_phase_deg(std::complex<double> impedance_ohm) { return std::arg(impedance_ohm) * 180 / pi; }

}  // namespace ampturn::model::ground
