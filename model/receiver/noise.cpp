#include "model/receiver/noise.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <stdexcept>
#include <string>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::receiver {
namespace {

struct NaturalRow {
    double frequency_hz, quiet_day_pt, typical_pt, summer_night_pt, low_factor, high_factor;
};

// Composite model; each value's basis stands in tests/reference/field/natural_b_models.csv.
constexpr std::array natural_rows = std::to_array<NaturalRow>({
    {1, 0.6, 1.0, 1.5, 2.0, 3.0},
    {2, 0.45, 0.75, 1.12, 2.0, 3.0},
    {3, 0.372, 0.62, 0.93, 2.0, 3.0},
    {5, 0.33, 0.55, 0.825, 2.0, 3.0},
    {7.8, 0.42, 0.7, 1.05, 2.0, 3.0},
    {10, 0.27, 0.45, 0.675, 2.0, 3.0},
    {14, 0.3, 0.5, 0.757, 2.0, 3.0},
    {20, 0.24, 0.4, 0.612, 2.0, 3.0},
    {26, 0.186, 0.31, 0.478, 2.0, 3.0},
    {33, 0.156, 0.26, 0.403, 2.0, 3.0},
    {45, 0.114, 0.19, 0.297, 2.0, 3.0},
    {60, 0.09, 0.15, 0.237, 2.0, 3.0},
    {100, 0.06, 0.1, 0.16, 2.0, 3.0},
    {200, 0.0341, 0.06, 0.0997, 2.0, 2.5},
    {300, 0.0237, 0.043, 0.0731, 2.0, 2.5},
    {500, 0.0135, 0.027, 0.0486, 2.0, 2.5},
    {700, 0.00799, 0.019, 0.036, 2.0, 2.5},
    {1000, 0.00455, 0.013, 0.026, 2.0, 2.5},
    {1500, 0.0018, 0.009, 0.027, 5, 4},
    {2000, 0.0007, 0.007, 0.028, 5, 4},
    {3000, 0.0005, 0.005, 0.025, 5, 4},
    {4000, 0.0006, 0.006, 0.03, 5, 4},
    {5000, 0.0012, 0.01, 0.04, 5, 4},
    {7000, 0.0045, 0.025, 0.075, 3, 3},
    {9000, 0.01, 0.04, 0.1, 3, 3},
    {10000, 0.01, 0.04, 0.1, 3, 3},
    {15000, 0.00675, 0.027, 0.0751, 3, 3},
    {20000, 0.005, 0.02, 0.06, 3, 3},
    {30000, 0.00265, 0.0133, 0.05, 3, 3},
    {50000, 0.0012, 0.008, 0.04, 3, 3},
    {70000, 0.000702, 0.0057, 0.0358, 3, 3},
    {100000, 0.0004, 0.004, 0.032, 3, 3},
});

double log_log(double x, double x0, double y0, double x1, double y1) {
    return y0 * std::pow(y1 / y0, std::log(x / x0) / std::log(x1 / x0));
}

double level_pt(const NaturalRow& row, NaturalLevel level) {
    switch (level) {
        case NaturalLevel::quiet_day:
            return row.quiet_day_pt;
        case NaturalLevel::typical:
            return row.typical_pt;
        case NaturalLevel::summer_night:
            return row.summer_night_pt;
    }
    throw std::logic_error("natural level unknown");
}

double squared(double x) { return x * x; }

}  // namespace

NaturalField natural_field(NaturalLevel level, double frequency_hz) {
    check_range(frequency_hz, "frequency_hz", 1, 1e6);
    std::size_t upper = 1;
    while (upper + 1 < natural_rows.size() && natural_rows[upper].frequency_hz < frequency_hz) ++upper;
    const NaturalRow& a = natural_rows[upper - 1];
    const NaturalRow& b = natural_rows[upper];
    return {.b_t_per_rthz = 1e-12 * log_log(frequency_hz, a.frequency_hz, level_pt(a, level), b.frequency_hz,
                                            level_pt(b, level)),
            .low_factor = a.low_factor,
            .high_factor = a.high_factor};
}

double coil_noise_t_per_rthz(const CoilNoise& coil, double frequency_hz) {
    return 1e-12 * std::sqrt(squared(coil.a_pt / frequency_hz) + squared(coil.floor_pt_per_rthz) +
                             squared(coil.b_pt_per_hz * frequency_hz));
}

std::complex<double> wire_response(double contact_resistance_ohm, double capacitance_f, double frequency_hz) {
    return 1.0 / std::complex<double>(1, 2 * pi * frequency_hz * contact_resistance_ohm * capacitance_f);
}

namespace {

double wire_power(const ElectrodeNoise& electrodes, double frequency_hz) {
    return std::norm(
        wire_response(electrodes.contact_resistance_ohm, electrodes.wire_capacitance_f, frequency_hz));
}

}  // namespace

double electrode_noise_v_per_m_rthz(const ElectrodeNoise& electrodes, double frequency_hz) {
    const double thermal =
        4.0 * boltzmann_j_per_k * electrodes.temperature_k * electrodes.contact_resistance_ohm;
    const double behind_the_wire =
        thermal + squared(electrodes.amplifier_a_per_rthz * electrodes.contact_resistance_ohm);
    const double power = wire_power(electrodes, frequency_hz);
    const double recorded = power * behind_the_wire + squared(electrodes.amplifier_v_per_rthz);
    return std::sqrt(electrodes.low_pass_divided_out ? recorded / power : recorded) / electrodes.spacing_m;
}

double rounding_psd(double full_scale, int bits, double sample_rate_hz) {
    const double step = 2 * full_scale / std::pow(2.0, bits);
    return squared(step) / 12 / (sample_rate_hz / 2);
}

double mains_relative_level(int order) {
    if (order == 1) return 1.0;
    if (order % 2 == 0) return 0.08 / std::pow(order, 0.8);
    return (order % 3 == 0 && order <= 25 ? 1.5 : 1.0) / std::pow(order, 1.2);
}

double mains_wander_hz(int order, bool weak_grid) { return std::max(0.5, (weak_grid ? 0.5 : 0.1) * order); }

double mains_b_psd_t2_per_hz(const Mains& mains, double frequency_hz) {
    if (mains.frequency_hz <= 0) return 0;
    // Bands of neighbours overlap at high orders: all whose band may reach the frequency are looked at.
    const double widest_rel = mains_wander_hz(1000, mains.weak_grid) / (1000 * mains.frequency_hz);
    const auto order_at = [&](double f) { return static_cast<int>(f / mains.frequency_hz); };
    const int first = std::max(1, order_at((frequency_hz - 1) / (1 + widest_rel)) - 1);
    const int last = std::min(mains.orders, order_at((frequency_hz + 1) / (1 - widest_rel)) + 1);
    double psd = 0;
    for (int order = first; order <= last; ++order) {
        const double wander_hz = mains_wander_hz(order, mains.weak_grid);
        if (std::abs(frequency_hz - order * mains.frequency_hz) <= wander_hz)
            psd += squared(mains.fundamental_b_t * mains_relative_level(order)) / (2.0 * wander_hz);
    }
    return psd;
}

double keyed_carrier_density_per_hz(double half_width_hz, double distance_hz) {
    const double bit_s = 0.75 / half_width_hz, x = std::abs(4 * distance_hz * bit_s);
    // cos(pi x/2)/(1 - x^2) -> pi/4 at x = 1; within 1e-4 of it off by less than 1e-4.
    const double shape = std::abs(x - 1) < 1e-4 ? pi / 4 : std::cos(pi * x / 2) / (1 - x * x);
    return 16 * bit_s / squared(pi) * squared(shape);
}

Spectrum::Spectrum(std::vector<double> frequencies_hz, std::vector<double> densities, Interpolation how)
    : frequencies_hz_(std::move(frequencies_hz)), densities_(std::move(densities)), how_(how) {
    if (frequencies_hz_.empty() || frequencies_hz_.size() != densities_.size())
        throw RangeError("spectrum",
                         std::to_string(frequencies_hz_.size()) + " frequencies and " +
                             std::to_string(densities_.size()) + " densities",
                         "as many of both, at least one");
    for (std::size_t i = 0; i < frequencies_hz_.size(); ++i) {
        const double before_hz = i > 0 ? frequencies_hz_[i - 1] : 0;
        check_range(frequencies_hz_[i], "spectrum.frequency_hz",
                    {.lowest = before_hz, .lowest_excluded = true, .highest_excluded = true}, i, "they rise");
        check_range(densities_[i], "spectrum.density",
                    {.lowest = 0, .lowest_excluded = true, .highest_excluded = true}, i);
    }
}

bool Spectrum::covers(double frequency_hz) const {
    return frequency_hz >= frequencies_hz_.front() && frequency_hz <= frequencies_hz_.back();
}

double Spectrum::at(double frequency_hz) const {
    if (!covers(frequency_hz))
        throw std::out_of_range("spectrum: " + std::to_string(frequency_hz) + " Hz is outside its points");
    const auto upper = std::lower_bound(frequencies_hz_.begin(), frequencies_hz_.end(), frequency_hz);
    const auto i = static_cast<std::size_t>(upper - frequencies_hz_.begin());
    if (*upper == frequency_hz) return densities_[i];
    const double x0 = frequencies_hz_[i - 1], x1 = frequencies_hz_[i];
    const double y0 = densities_[i - 1], y1 = densities_[i];
    if (how_ == Interpolation::log_log) return log_log(frequency_hz, x0, y0, x1, y1);
    return y0 + (y1 - y0) * (frequency_hz - x0) / (x1 - x0);
}

NoiseAt noise_at(const StationNoise& noise, double frequency_hz, double surface_impedance_ohm) {
    const double natural_h = natural_field(noise.natural, frequency_hz).b_t_per_rthz / mu0_h_per_m;
    const double mains_h_psd = mains_b_psd_t2_per_hz(noise.mains, frequency_hz) / squared(mu0_h_per_m);
    const double z2 =
        squared(surface_impedance_ohm) *
        (noise.electrodes.low_pass_divided_out ? 1 : wire_power(noise.electrodes, frequency_hz));
    return {.h = {.natural = squared(natural_h),
                  .mains = mains_h_psd,
                  .sensor = squared(coil_noise_t_per_rthz(noise.coil, frequency_hz) / mu0_h_per_m)},
            .e = {.natural = z2 * squared(natural_h),
                  .mains = z2 * mains_h_psd,
                  .sensor = squared(electrode_noise_v_per_m_rthz(noise.electrodes, frequency_hz))}};
}

}  // namespace ampturn::model::receiver
