#pragma once

#include <cstdint>

#include "scheduler/core/table.hpp"

namespace ampturn::core::test {

/// Draws for tests, the same on every host: SplitMix64 (Steele, Lea & Flood 2014).
class Draws {
  public:
    explicit Draws(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        state_ += 0x9E3779B97F4A7C15u;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
        return z ^ (z >> 31);
    }
    /// 0 to bound - 1; bound > 0.
    std::uint32_t below(std::uint64_t bound) { return static_cast<std::uint32_t>(next() % bound); }
    /// Low to high, every order of magnitude alike.
    std::uint32_t over_decades(std::uint32_t low, std::uint32_t high) {
        std::uint32_t scale = high;
        while (scale / 2 >= low && below(2) == 0) scale /= 2;
        return low + below(std::uint64_t{scale} - low + 1);
    }

  private:
    std::uint64_t state_;
};

inline Step random_step(Draws& draws) {
    Step step;
    step.loop = static_cast<Loop>(1 + draws.below(3));
    step.tap = static_cast<std::uint8_t>(1 + draws.below(8));
    step.capacitor = static_cast<std::uint8_t>(draws.below(33));
    step.divisor = 2 * draws.over_decades(1, 12'000'000);
    step.cycles = draws.over_decades(1, 10'000'000);
    step.current_ma_peak = draws.over_decades(1, 40'000);
    step.ramp_cycles = draws.over_decades(1, 1'000'000);
    step.settle_ticks = draws.over_decades(240'000, 24'000'000);
    step.gap_ticks = draws.over_decades(24'000, 24'000'000);
    return step;
}

/// Accepted by check() with the default limits, one sweep.
inline Table random_table(Draws& draws, std::size_t step_count) {
    Table table;
    table.table_id = draws.below(std::uint64_t{1} << 32);
    table.sweep_count = 1;
    table.step_count = static_cast<std::uint16_t>(step_count);
    for (std::size_t i = 0; i < step_count; ++i) table.steps[i] = random_step(draws);
    return table;
}

/// One field of one step is set to a value at or beyond an edge of its range; the table may stay good.
inline void spoil_one_field(Draws& draws, Table& table) {
    Step& step = table.steps[draws.below(table.step_count)];
    switch (draws.below(10)) {
        case 0:
            step.loop = static_cast<Loop>(draws.below(6));
            break;
        case 1:
            step.tap = static_cast<std::uint8_t>(draws.below(12));
            break;
        case 2:
            step.capacitor = static_cast<std::uint8_t>(28 + draws.below(8));
            break;
        case 3:
            step.flags = static_cast<std::uint8_t>(draws.below(5));
            break;
        case 4:
            step.divisor = draws.below(2) == 0 ? draws.below(4) : 23'999'998 + draws.below(6);
            break;
        case 5:
            step.cycles = draws.below(3) == 0 ? 0 : 0xFFFFFFFFu - draws.below(3);
            break;
        case 6:
            step.current_ma_peak = draws.below(2) == 0 ? draws.below(2) : 39'999 + draws.below(3);
            break;
        case 7:
            step.ramp_cycles = draws.below(2) == 0 ? draws.below(2) : 999'999 + draws.below(3);
            break;
        case 8:
            step.settle_ticks = 239'998 + draws.below(4);
            break;
        default:
            step.gap_ticks = 23'998 + draws.below(4);
            break;
    }
}

}  // namespace ampturn::core::test
