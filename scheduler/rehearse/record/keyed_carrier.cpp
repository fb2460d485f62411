#include "scheduler/rehearse/record/keyed_carrier.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/constants.hpp"

namespace ampturn::rehearse::record {
std::vector<KeyedCarrier> keyed_carriers(const std::vector<plan::Interferer>& interferers,
                                         const Impedance& impedance, std::uint64_t seed,
                                         std::uint64_t stream) {
    const run::CounterRandom random(seed, run::combine(stream, run::stream_of("interferer direction")));
    std::vector<KeyedCarrier> carriers;
    for (std::size_t i = 0; i < interferers.size(); ++i) {
        const plan::Interferer& interferer = interferers[i];
        if (!(interferer.b_nt > 0)) continue;
        const double azimuth = 2 * model::pi * random.uniform(i);
        const double h = std::sqrt(2.0) * 1e-9 * interferer.b_nt / model::mu0_h_per_m;
        const std::complex<double> e = h * impedance(interferer.frequency_hz);
        KeyedCarrier carrier{.frequency_hz = interferer.frequency_hz,
                             .bits_per_s = interferer.half_width_hz / 0.75,
                             .amplitude = {}};
        carrier.amplitude[hx] = h * std::cos(azimuth);
        carrier.amplitude[hy] = h * std::sin(azimuth);
        carrier.amplitude[ex] = e * std::sin(azimuth);
        carrier.amplitude[ey] = -e * std::cos(azimuth);
        carriers.push_back(carrier);
    }
    return carriers;
}

KeyedCarrierWave::KeyedCarrierWave(const KeyedCarrier& carrier, double sample_rate_hz, std::uint64_t seed,
                                   std::uint64_t stream)
    : carrier_(carrier),
      sample_rate_hz_(sample_rate_hz),
      heard_(carrier.frequency_hz < 0.45 * sample_rate_hz),
      random_(seed, run::combine(stream, run::stream_of("interferer bits"))),
      phase_cycles_(random_.uniform(~std::uint64_t{0})) {
    if (!(carrier.bits_per_s > 0)) to_next_bit_ = std::numeric_limits<double>::infinity();
}

bool KeyedCarrierWave::bit(std::uint64_t index) const {
    const auto bits = random_.block(index / 128);
    return (bits[index % 128 / 32] >> (index % 32) & 1u) != 0;
}

KeyedCarrierWave::Run KeyedCarrierWave::next_run(std::size_t samples_left) {
    while (to_next_bit_ <= 0) {  // a bit begins at or before this sample
        const double shift = bit(next_bit_++) ? carrier_.bits_per_s / 4 : -carrier_.bits_per_s / 4;
        // The part of the way since the last sample that belongs to the new bit.
        phase_cycles_ += (shift - shift_hz_) * -to_next_bit_ / sample_rate_hz_;
        shift_hz_ = shift;
        to_next_bit_ += sample_rate_hz_ / carrier_.bits_per_s;
    }
    const double samples = std::min(static_cast<double>(samples_left), std::ceil(to_next_bit_));
    const Run run{.count = static_cast<std::size_t>(samples),
                  .phase_cycles = phase_cycles_,
                  .cycles_a_sample = (carrier_.frequency_hz + shift_hz_) / sample_rate_hz_};
    phase_cycles_ += samples * run.cycles_a_sample;
    phase_cycles_ -= std::floor(phase_cycles_);
    to_next_bit_ -= samples;
    return run;
}

void KeyedCarrierWave::add(ChannelBlock& block) {
    if (!heard_) return;
    for (std::size_t begin = 0; begin < block.size();) {
        const Run run = next_run(block.size() - begin);
        add_tone(block, begin, run.count, run.phase_cycles, run.cycles_a_sample, carrier_.amplitude);
        begin += run.count;
    }
}

void KeyedCarrierWave::skip(std::size_t samples) {
    if (!heard_) return;
    while (samples > 0) samples -= next_run(samples).count;
}

}  // namespace ampturn::rehearse::record
