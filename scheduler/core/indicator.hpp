#pragma once

#include <array>
#include <cstdint>

#include "scheduler/core/states.hpp"
#include "scheduler/core/time.hpp"
#include "scheduler/core/trips.hpp"

namespace ampturn::core {

/// Meaning of colours: IEC 60073 (red danger or emergency, yellow caution, blue mandatory action, white
/// neutral). Colour never carries the information alone: every state has its own pattern and its own word.
enum class Lamp : std::uint8_t { dark = 0, white, yellow, red, blue };
enum class Pattern : std::uint8_t { off = 0, double_blink, short_blink, steady, fast, slow, triple_blink };
enum class Sounder : std::uint8_t { silent = 0, one_beep, beeps_2_hz, beep_a_minute, three_beeps };

/// A pattern in time, so that every host blinks alike: `blinks` times lit for on_ms and dark for off_ms, then
/// dark for pause_ms, and again. Steady has off_ms = pause_ms = 0.
struct PatternTiming {
    std::uint16_t blinks, on_ms, off_ms, pause_ms;
};
constexpr PatternTiming timing(Pattern pattern) {
    switch (pattern) {
        case Pattern::off:
            return {0, 0, 0, 0};
        case Pattern::double_blink:
            return {2, 150, 150, 900};
        case Pattern::short_blink:
            return {1, 100, 0, 2'900};
        case Pattern::steady:
            return {1, 1'000, 0, 0};
        case Pattern::fast:
            return {1, 125, 125, 0};
        case Pattern::slow:
            return {1, 1'000, 1'000, 0};
        case Pattern::triple_blink:
            return {3, 150, 150, 900};
    }
    return {0, 0, 0, 0};
}

/// Beeps: `beeps` times on_ms sounding and off_ms silent, then silent for pause_ms; repeated or once.
struct SounderTiming {
    std::uint16_t beeps, on_ms, off_ms, pause_ms;
    bool repeats;
};
constexpr SounderTiming timing(Sounder sounder) {
    switch (sounder) {
        case Sounder::silent:
            return {0, 0, 0, 0, false};
        case Sounder::one_beep:
            return {1, 200, 0, 0, false};
        case Sounder::beeps_2_hz:
            return {1, 250, 250, 0, true};
        case Sounder::beep_a_minute:
            return {1, 200, 0, 59'800, true};
        case Sounder::three_beeps:
            return {3, 200, 200, 0, false};
    }
    return {0, 0, 0, 0, false};
}

struct StateIndication {
    State state;
    Lamp lamp;
    Pattern pattern;
    Sounder sounder;
};
inline constexpr std::array<StateIndication, state_count> state_indications{{
    {State::unpowered, Lamp::dark, Pattern::off, Sounder::silent},
    {State::self_check, Lamp::white, Pattern::double_blink, Sounder::silent},
    {State::standby, Lamp::white, Pattern::short_blink, Sounder::silent},
    {State::armed, Lamp::yellow, Pattern::steady, Sounder::one_beep},
    {State::warning, Lamp::yellow, Pattern::fast, Sounder::beeps_2_hz},
    {State::sending, Lamp::red, Pattern::steady, Sounder::beep_a_minute},
    {State::stopping, Lamp::red, Pattern::fast, Sounder::silent},
    {State::resting, Lamp::blue, Pattern::slow, Sounder::silent},
    {State::tripped, Lamp::red, Pattern::triple_blink, Sounder::three_beeps},
}};

/// What lamp, sounder and text line show. The text line is the word of `word`, and in `tripped` the word of
/// `cause` behind it; hosts word them.
struct Indicator {
    Lamp lamp = Lamp::dark;
    Pattern pattern = Pattern::off;
    Sounder sounder = Sounder::silent;
    State word = State::unpowered;
    bool has_cause = false;
    Trip cause = Trip::over_current;  ///< the first cause latched; valid if has_cause
    Instant since;                    ///< patterns start here
};

}  // namespace ampturn::core
