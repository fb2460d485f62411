#include "scheduler/run/adc.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::run {

std::int32_t Adc::read_milli(const AdcChannel& channel, double value, std::uint64_t sample_number) const {
    const double top_code = std::ldexp(1.0, channel.bits) - 1;
    const double step = (channel.highest - channel.lowest) / top_code;
    const double noisy =
        channel.noise_rms > 0 ? value + channel.noise_rms * noise_.normal(sample_number) : value;
    const double position = std::round((noisy - channel.lowest) / step);
    const double code = position > 0 ? std::min(position, top_code) : 0;  // NaN compares false: lowest code
    return static_cast<std::int32_t>(std::lround(1000 * (channel.lowest + code * step)));
}

}  // namespace ampturn::run
