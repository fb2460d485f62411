#include "scheduler/sweep/quantize.hpp"

#include <cmath>
#include <stdexcept>
#include <string>

#include "model/receiver/frequency.hpp"

namespace ampturn::plan {
namespace {

constexpr std::uint64_t largest_divisor = 0xFFFFFFFEu;

/// Rounded up, but a value that is whole but for rounding noise stays: 0.1 s at 24
/// MHz is 2 400 000 ticks, not one more.
double ceil_forgiving(double x) {
    const double nearest = std::round(x);
    return std::abs(x - nearest) <= 1e-9 * std::max(1.0, std::abs(x)) ? nearest : std::ceil(x);
}

}  // namespace

NearestDrive nearest_drive(double requested_hz, std::uint64_t clock_hz) {
    const double clock = static_cast<double>(clock_hz);
    const double exact = clock / requested_hz;
    if (!(exact >= 2.0 && exact <= static_cast<double>(largest_divisor)))
        throw std::invalid_argument("frequency " + std::to_string(requested_hz) +
                                    " Hz is out of reach of a clock of " + std::to_string(clock_hz) + " Hz");
    const auto wanted = model::ratio_of_double(requested_hz);
    if (!wanted) throw std::invalid_argument("frequency of more than 17 digits");
    const model::DivisorChoice nearest = model::nearest_divisor(static_cast<std::int64_t>(clock_hz), *wanted);
    return {.divisor = static_cast<std::uint32_t>(nearest.divisor),
            .frequency_hz = clock / static_cast<double>(nearest.divisor),
            .error_ppm = nearest.error_ppm};
}

std::uint32_t dwell_cycles(double dwell_s, const NearestDrive& drive, double record_s) {
    if (!(dwell_s > 0))
        throw std::invalid_argument("dwell of " + std::to_string(dwell_s) + " s, allowed above 0");
    const double wanted_s = record_s > 0 ? record_s * ceil_forgiving(dwell_s / record_s) : dwell_s;
    const double cycles = ceil_forgiving(wanted_s * drive.frequency_hz);
    if (!(cycles <= 4294967295.0))
        throw std::invalid_argument("dwell of " + std::to_string(dwell_s) +
                                    " s is more cycles than a step can hold");
    return static_cast<std::uint32_t>(cycles < 1 ? 1 : cycles);
}

std::uint64_t ticks_at_least(double seconds, std::uint64_t clock_hz) {
    const double ticks = ceil_forgiving(seconds * static_cast<double>(clock_hz));
    if (!(ticks >= 0 && ticks < 9.2e18))
        throw std::invalid_argument("span of " + std::to_string(seconds) + " s cannot be counted in ticks");
    return static_cast<std::uint64_t>(ticks);
}

}  // namespace ampturn::plan
