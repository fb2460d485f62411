#include "scheduler/sweep/quantize.hpp"

#include <cmath>
#include <string>

#include "model/base/check_range.hpp"
#include "model/receiver/clock_and_bins.hpp"

namespace ampturn::sweep {
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
        throw model::RangeError(
            "frequency_hz", requested_hz,
            {.lowest = clock / static_cast<double>(largest_divisor), .highest = clock / 2}, std::nullopt,
            "what a clock of " + std::to_string(clock_hz) + " Hz gives");
    const auto wanted = model::receiver::ratio_of_double(requested_hz);
    if (!wanted)
        throw model::RangeError("frequency_hz", "more than 17 digits", "a number of at most 17 digits");
    const model::receiver::DivisorChoice nearest =
        model::receiver::nearest_divisor(static_cast<std::int64_t>(clock_hz), *wanted);
    return {.divisor = static_cast<std::uint32_t>(nearest.divisor),
            .frequency_hz = clock / static_cast<double>(nearest.divisor),
            .error_ppm = nearest.error_ppm};
}

std::uint32_t dwell_cycles(double dwell_s, const NearestDrive& drive, double record_s) {
    model::check_range(dwell_s, "dwell_s", model::more_than(0));
    const double wanted_s = record_s > 0 ? record_s * ceil_forgiving(dwell_s / record_s) : dwell_s;
    const double cycles = ceil_forgiving(wanted_s * drive.frequency_hz);
    constexpr double cycles_max = 4294967295.0;  // of a step
    if (!(cycles <= cycles_max))
        throw model::RangeError("dwell_s", dwell_s, model::at_most(cycles_max / drive.frequency_hz),
                                std::nullopt, "the cycles that a step can hold");
    return static_cast<std::uint32_t>(cycles < 1 ? 1 : cycles);
}

std::uint64_t ticks_at_least(double seconds, std::uint64_t clock_hz, std::string_view name) {
    const double ticks = ceil_forgiving(seconds * static_cast<double>(clock_hz));
    constexpr double ticks_max = 9.2e18;
    if (!(ticks >= 0 && ticks < ticks_max))
        throw model::RangeError(std::string(name), seconds,
                                {.lowest = 0, .highest = ticks_max / static_cast<double>(clock_hz)},
                                std::nullopt, "what can be counted in ticks");
    return static_cast<std::uint64_t>(ticks);
}

}  // namespace ampturn::sweep
