#include "scheduler/setup/sampling.hpp"

#include <cmath>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/receiver/noise.hpp"

namespace ampturn::setup {

/// Of a record: by this much the last may reach into the ramp, where the unit's clock and the receiver's differ.
constexpr double clocks_apart = 1e-3;

Sampling sampling_for(const plan::Receiver& receiver, double frequency_hz, double dwell_s) {
    Sampling sampling{.sample_rate_hz = receiver.sample_rate_hz,
                      .record_length = static_cast<std::size_t>(receiver.record_length),
                      .record_count = 0,
                      .decimation = 1};
    if (frequency_hz >= sampling.sample_rate_hz / 2) return sampling;
    while (sampling.sample_rate_hz / 2 >= 7 * frequency_hz && sampling.record_length % 4 == 0 &&
           sampling.record_length >= 128) {
        sampling.sample_rate_hz /= 2;
        sampling.record_length /= 2;
        sampling.decimation *= 2;
    }
    const auto records = [&] {
        return static_cast<std::size_t>(std::floor(
            dwell_s * sampling.sample_rate_hz / static_cast<double>(sampling.record_length) + clocks_apart));
    };
    const auto cycles = [&](std::size_t length) {
        return static_cast<double>(length) / sampling.sample_rate_hz * frequency_hz;
    };
    while (records() < records_wanted && sampling.record_length % 4 == 0 && sampling.record_length >= 128 &&
           cycles(sampling.record_length / 2) >= 32)
        sampling.record_length /= 2;
    sampling.record_count = records();
    return sampling;
}

BackgroundCrest background_crest(const plan::Plan& plan, const model::ground::LayeredEarth& earth) {
    BackgroundCrest out{};
    const auto add = [&](Crest& to, double f, double b_rms_t) {
        if (f >= plan.receiver.sample_rate_hz / 2) return;
        const double h = std::sqrt(2.0) * b_rms_t / model::mu0_h_per_m;
        to.h_a_per_m += h;
        to.e_v_per_m += h * std::abs(model::ground::plane_wave_impedance_ohm(earth, f));
    };
    for (const plan::Interferer& interferer : plan.noise.interferers)
        add(out.interferers, interferer.frequency_hz, 1e-9 * interferer.b_nt);
    if (plan.noise.mains_hz > 0)
        for (int n = 1; n <= plan.noise.mains_orders; ++n)
            add(out.per_mains_t, n * plan.noise.mains_hz, model::receiver::mains_relative_level(n));
    return out;
}

double mains_b_t(const plan::Plan& plan, const plan::Station& station) {
    return 1e-9 * station.mains_b_nt.value_or(plan.noise.mains_b_nt);
}

}  // namespace ampturn::setup
