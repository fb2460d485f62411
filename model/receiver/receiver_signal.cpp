#include "model/receiver/receiver_signal.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::receiver {
namespace {

constexpr std::array wander_periods_s{37.0, 113.0, 311.0};
constexpr double wander_share = 1.0 / 3;

}  // namespace

double impulse_height(const ImpulseStatistics& statistics, double standard_normal) {
    // E[exp(2 s g)] = exp(2 s^2).
    const double s = statistics.sd_ln_height;
    return std::exp(s * standard_normal - s * s);
}

CorrelatedPair correlated_pair(double natural_h_psd, double sensor_h_psd, double sensor_e_psd,
                               std::complex<double> impedance_ohm) {
    const double h = std::sqrt(natural_h_psd + sensor_h_psd);
    if (h == 0) return {0, 0, std::sqrt(sensor_e_psd)};
    // Of E's natural part |Z|^2 S_n, the share S_n/(S_n + S_h) is foretold by H; the rest is free.
    const double share = natural_h_psd / (h * h);
    return {.h = h,
            .foretold = natural_h_psd / h,
            .free = std::sqrt(std::norm(impedance_ohm) * natural_h_psd * (1 - share) + sensor_e_psd)};
}

double MainsWander::cycles(double time_s) const {
    double sum = 0;
    for (std::size_t i = 0; i < wander_periods_s.size(); ++i)
        sum += wander_share * wander_periods_s[i] / (2 * pi) *
               (std::cos(phase_rad[i]) - std::cos(2 * pi * time_s / wander_periods_s[i] + phase_rad[i]));
    return nominal_hz * time_s + half_width_hz * sum;
}

double StepEnvelope::at(double cycle) const {
    if (cycle < 0) return 0;
    const double after_dwell = cycle - ramp_cycles - dwell_cycles;
    if (cycle >= ramp_cycles && after_dwell < 0) return 1;
    const auto level = [&](double since) {
        return std::ceil((std::floor(since) + 1) * levels / ramp_cycles);
    };
    if (cycle < ramp_cycles) return level(cycle) / (levels + 1);
    return after_dwell < ramp_cycles ? 1 - level(after_dwell) / (levels + 1) : 0;
}

Adc adc(double full_scale, int bits, double decimation) {
    check_range(full_scale, "full_scale", more_than(0));
    check_range(bits, "bits", 2, 32);
    check_range(decimation, "decimation", at_least(1));
    return {.step = 2 * full_scale / std::ldexp(1.0, bits) / std::sqrt(decimation), .full_scale = full_scale};
}

}  // namespace ampturn::model::receiver
