#pragma once

#include <cstdint>
#include <string_view>

namespace ampturn::sweep {

/// The one place where the planner's doubles become the unit's ticks and counts, and where what comes back is
/// what the clock can really do.

struct NearestDrive {
    std::uint32_t divisor;  // even: half a period is a whole number of ticks
    double frequency_hz;    // what the clock gives, not what was asked
    double error_ppm;
};
/// Even divisor whose frequency clock_hz/divisor lies nearest to the requested one, by exact arithmetic
/// (model/receiver/clock_and_bins.hpp). requested_hz from clock_hz/(2^32 - 2) to clock_hz/2, else
/// std::invalid_argument.
NearestDrive nearest_drive(double requested_hz, std::uint64_t clock_hz);

/// Cycles of a dwell that is at least dwell_s long; whole receiver records of record_s when that is above 0
/// (then the dwell is a whole number of records to within one cycle, rounded up). dwell_s > 0;
/// model::RangeError "dwell_s" when the count does not fit 32 bits.
std::uint32_t dwell_cycles(double dwell_s, const NearestDrive& drive, double record_s = 0);

/// A span in ticks, rounded up to a whole tick; seconds >= 0 and the result below 2^63, else
/// model::RangeError under the name given.
std::uint64_t ticks_at_least(double seconds, std::uint64_t clock_hz, std::string_view name = "seconds");

}  // namespace ampturn::sweep
