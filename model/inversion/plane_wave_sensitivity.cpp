#include "model/inversion/plane_wave_sensitivity.hpp"

#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/complex_root.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::inversion {
namespace {

using Complex = std::complex<double>;

/// tanh x and 1 - tanh^2 x for Re x >= 0, both without cancellation.
struct Tanh {
    Complex value, slope;
};
Tanh tanh_of(Complex x) {
    if (std::abs(x) < 1e-2) {
        const Complex s = x * x;
        const Complex t = x * (1.0 + s * (-1.0 / 3 + s * (2.0 / 15 + s * (-17.0 / 315 + s * (62.0 / 2835)))));
        return {t, 1.0 - t * t};
    }
    const Complex e = std::exp(-2.0 * x);
    return {(1.0 - e) / (1.0 + e), 4.0 * e / ((1.0 + e) * (1.0 + e))};
}

}  // namespace

PlaneWaveSensitivity plane_wave_sensitivity(const ground::LayeredEarth& earth, double frequency_hz,
                                            ground::Wavenumbers wavenumbers) {
    check_range(frequency_hz, "frequency_hz", 1e-4, 1e6);
    const double omega = 2 * pi * frequency_hz;
    const std::size_t count = earth.size();
    PlaneWaveSensitivity result;
    result.by_ln_resistivity_ohm.resize(count);
    result.by_ln_thickness_ohm.resize(count - 1);
    std::vector<Complex> by_impedance_below(count);

    Complex below = 0;
    for (std::size_t i = count; i-- > 0;) {
        const Complex z(0, omega * mu0_h_per_m * earth[i].relative_permeability);
        const Complex y =
            earth.admittivity(i, omega, wavenumbers == ground::Wavenumbers::full).horizontal_s_per_m;
        const Complex sigma = earth.admittivity(i, omega, false).horizontal_s_per_m;
        const Complex gamma = principal_root(z * y), c = z / gamma;
        // y = sigma + i omega eps, and d sigma / d ln rho = -sigma.
        const Complex dc = c * sigma / (2.0 * y), dgamma = -gamma * sigma / (2.0 * y);
        if (i + 1 == count) {
            below = c;
            result.by_ln_resistivity_ohm[i] = dc;
            continue;
        }
        const double thickness_m = earth[i].thickness_m;
        const auto [t, slope] = tanh_of(gamma * thickness_m);
        const Complex upper = below + c * t, lower = c + below * t;
        const Complex by_t = c * (c * c - below * below) / (lower * lower);
        const Complex by_c = upper / lower + c * (t * lower - upper) / (lower * lower);
        by_impedance_below[i] = c * c * slope / (lower * lower);
        result.by_ln_resistivity_ohm[i] = by_c * dc + by_t * slope * thickness_m * dgamma;
        result.by_ln_thickness_ohm[i] = by_t * slope * gamma * thickness_m;
        below = c * upper / lower;
    }
    result.impedance_ohm = below;
    Complex chain = 1;
    for (std::size_t i = 0; i < count; ++i) {
        result.by_ln_resistivity_ohm[i] *= chain;
        if (i + 1 < count) {
            result.by_ln_thickness_ohm[i] *= chain;
            chain *= by_impedance_below[i];
        }
    }
    return result;
}

}  // namespace ampturn::model::inversion
