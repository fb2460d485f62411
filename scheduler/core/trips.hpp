#pragma once

#include <cstddef>
#include <cstdint>

namespace ampturn::core {

/// Causes of a trip; the number is the code on the wire and in records.
enum class Trip : std::uint8_t {
    over_current = 0,
    open_loop,
    shorted_loop,
    under_voltage,
    over_temperature_winding,
    over_temperature_electronics,
    reversed_supply,
    table_fault,
    clock_fault,
    watchdog,
    emergency_stop,
};
inline constexpr std::size_t trip_count = 11;

/// A set of causes, one bit each.
class TripSet {
  public:
    constexpr bool has(Trip trip) const { return (bits_ & bit(trip)) != 0; }
    constexpr bool empty() const { return bits_ == 0; }
    constexpr std::uint16_t bits() const { return bits_; }
    constexpr void add(Trip trip) { bits_ = static_cast<std::uint16_t>(bits_ | bit(trip)); }
    constexpr void remove(Trip trip) { bits_ = static_cast<std::uint16_t>(bits_ & ~bit(trip)); }
    constexpr void clear() { bits_ = 0; }
    constexpr bool operator==(const TripSet&) const = default;

  private:
    static constexpr unsigned bit(Trip trip) { return 1u << static_cast<unsigned>(trip); }
    std::uint16_t bits_ = 0;
};

}  // namespace ampturn::core
