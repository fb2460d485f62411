#include "scheduler/setup/sampling.hpp"

#include <cmath>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/receiver/noise.hpp"
#include "scheduler/plan/station_own.hpp"

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

namespace {

void add_line(const plan::Plan& plan, const model::ground::LayeredEarth& earth, double frequency_hz,
              double b_rms_t, Crest& to) {
    if (frequency_hz >= plan.receiver.sample_rate_hz / 2) return;
    const double h = std::sqrt(2.0) * b_rms_t / model::mu0_h_per_m;
    to.h_a_per_m += h;
    to.e_v_per_m += h * std::abs(model::ground::plane_wave_impedance_ohm(earth, frequency_hz));
}

}  // namespace

BackgroundCrest background_crest(const plan::Plan& plan, const model::ground::LayeredEarth& earth) {
    BackgroundCrest out{};
    for (const plan::Interferer& interferer : plan.noise.interferers)
        add_line(plan, earth, interferer.frequency_hz, 1e-9 * interferer.b_nt, out.interferers);
    if (plan.noise.mains_hz > 0)
        for (int n = 1; n <= plan.noise.mains_orders; ++n)
            add_line(plan, earth, n * plan.noise.mains_hz, model::receiver::mains_relative_level(n),
                     out.per_mains_t);
    return out;
}

BackgroundCrest background_crest_at(const plan::Plan& plan, const plan::Station& station,
                                    const model::ground::LayeredEarth& ground, BackgroundCrest everywhere) {
    for (const plan::Interferer& interferer : station.interferers)
        add_line(plan, ground, interferer.frequency_hz, 1e-9 * interferer.b_nt, everywhere.interferers);
    return everywhere;
}

double mains_b_t(const plan::Plan& plan, const plan::Station& station) {
    return 1e-9 * plan::mains_b_nt_of(plan, station);
}

}  // namespace ampturn::setup
