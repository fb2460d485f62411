#pragma once

#include <array>
#include <cstdint>

namespace ampturn::core {

/// What the polarity detector sees at the supply terminals.
enum class Supply : std::uint8_t { absent = 0, right = 1, reversed = 2 };

/// One sample of the whole measuring chain, in the units of the converters' scaled outputs. The sequencer
/// finds its trips in these and nowhere else. Index 0 is loop A, 1 is loop B.
struct Reading {
    static constexpr std::int32_t not_tested = -1;

    std::array<std::int32_t, 2>
        loop_current_ma{};  ///< peak of the fundamental, >= 0; of the interval before the reading
    /// Low-current continuity test, possible while the power stage is off; not_tested otherwise.
    std::array<std::int32_t, 2> loop_resistance_mohm{not_tested, not_tested};
    std::int32_t bus_mv = 0;      ///< after the converter
    std::int32_t battery_mv = 0;  ///< at the unit's terminals
    std::int32_t winding_mdeg_c = 20'000;
    std::int32_t electronics_mdeg_c = 20'000;
    Supply supply = Supply::absent;
    bool clock_ok = true;        ///< missing-pulse detector of the reference clock
    bool table_store_ok = true;  ///< the stored table still reads back with its checksum

    constexpr bool operator==(const Reading&) const = default;
};

}  // namespace ampturn::core
