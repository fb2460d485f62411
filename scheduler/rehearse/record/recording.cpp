#include "scheduler/rehearse/record/recording.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/dispatch.hpp"

namespace ampturn::rehearse::record {

namespace {

/// Samples as the converter gives them; adds those that met its end to `clipped`.
AMPTURN_DISPATCH(convert,
                 (const model::receiver::Adc& by, double* samples, std::size_t count, std::size_t& clipped), {
                     const model::receiver::Adc adc = by;
                     std::uint64_t met = 0;
                     for (std::size_t n = 0; n < count; ++n) {
                         met += adc.clips(samples[n]) ? 1 : 0;
                         samples[n] = adc.quantized(samples[n]);
                     }
                     clipped += met;
                 })

}  // namespace

std::size_t sample_count(const StepRecording& step) {
    return static_cast<std::size_t>(
        std::ceil((2 * step.ramp_s + step.dwell_s) * step.sampling.sample_rate_hz));
}

std::size_t synthesise(const StepRecording& step, const Surroundings& surroundings, const BlockSink& sink) {
    NoiseStream noise(*surroundings.noise, surroundings.seed, step.stream, surroundings.with_vertical);
    const std::size_t total = sample_count(step);
    const double rate_hz = step.sampling.sample_rate_hz;
    std::vector<KeyedCarrierWave> carriers;
    for (std::size_t i = 0; i < surroundings.carriers.size(); ++i)
        carriers.emplace_back(surroundings.carriers[i], rate_hz, surroundings.seed,
                              run::combine(step.stream, i));
    std::size_t clipped = 0;
    ChannelBlock block;
    for (std::size_t first = 0; first < total; first += block.size()) {
        noise.next(block);
        if (first + block.size() > total) block.resize(total - first);
        const double first_s = static_cast<double>(first) / rate_hz;
        surroundings.mains->add(block, step.start_s + first_s, rate_hz);
        for (KeyedCarrierWave& carrier : carriers) carrier.add(block);
        add_source(block, step.lines, step.envelope, step.lines.front().frequency_hz, first_s, rate_hz);
        const std::size_t channels = surroundings.with_vertical ? channel_count : channel_count - 1;
        for (std::size_t c = 0; c < channels; ++c) {
            const model::receiver::Adc& adc = c == ex || c == ey ? surroundings.adc_e : surroundings.adc_h;
            convert(adc, block.samples[c].data(), block.size(), clipped);
        }
        sink(block, first);
    }
    return clipped;
}

}  // namespace ampturn::rehearse::record
