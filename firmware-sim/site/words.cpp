#include "firmware-sim/site/words.hpp"

#include <array>
#include <cstddef>

namespace ampturn::sim {

bool is_state(std::string_view word) {
    for (std::size_t i = 0; i < core::state_count; ++i) {
        if (word == word_of(static_cast<core::State>(i))) return true;
    }
    return false;
}

bool is_trip(std::string_view word) {
    for (std::size_t i = 0; i < core::trip_count; ++i) {
        if (word == word_of(static_cast<core::Trip>(i))) return true;
    }
    return false;
}

bool is_finding(std::string_view word) {
    static constexpr std::array words{
        "battery_good",   "battery_low",      "battery_reversed", "loop_a_good",    "loop_a_open",
        "loop_a_shorted", "loop_a_leaking",   "loop_b_good",      "loop_b_open",    "loop_b_shorted",
        "loop_b_leaking", "area_clear",       "area_not_clear",   "receiver_ready", "receiver_not_ready",
        "clock_locked",   "clock_not_locked",
    };
    for (const std::string_view known : words) {
        if (word == known) return true;
    }
    return false;
}

bool is_danger(std::string_view word) {
    static constexpr std::array words{
        "touched_energised_loop",   "touched_while_armed", "touched_charged_capacitor",
        "broke_supply_under_load",  "negative_first",      "positive_off_first",
        "sent_with_person_in_ring", "sent_in_thunder",
    };
    for (const std::string_view known : words) {
        if (word == known) return true;
    }
    return false;
}

}  // namespace ampturn::sim
