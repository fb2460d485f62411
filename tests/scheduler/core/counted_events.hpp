#pragma once

#include <array>
#include <cstdint>

#include "scheduler/core/image.hpp"
#include "scheduler/core/sequencer.hpp"

namespace ampturn::core::test {

/// The calls whose instructions are counted, on the Cortex-M4 under the emulator and on the host under
/// callgrind. Without heap, so that the target can build it.
class Counted {
  public:
    Counted() : sequencer(config()) {}

    void measure() { sequencer.measure(now, reading()); }
    void advance_to_deadline() {
        now = sequencer.deadline();
        sequencer.advance(now);
    }
    void load_full_table() {
        Table table;
        table.step_count = steps_max;
        for (std::size_t i = 0; i < steps_max; ++i)
            table.steps[i] = {.loop = i % 2 == 0 ? Loop::a : Loop::b,
                              .divisor = 600,
                              .cycles = 4'000'000,
                              .current_ma_peak = 8'000,
                              .ramp_cycles = 100};
        length = write_image(table, 24'000'000, image);
        (void)sequencer.load(now, std::span{image}.first(length));
    }
    void to_standby() {
        load_full_table();
        measure();
        advance_to_deadline();
        sequencer.mark(now, 1'800'000'000);
    }
    void to_armed() {
        to_standby();
        sequencer.control(now, Control::arm);
    }
    void to_phase(Phase phase) {
        to_armed();
        sequencer.control(now, Control::go);
        for (int i = 0; i < 60 && sequencer.progress().phase != phase; ++i) {
            advance_to_deadline();
            measure();
        }
    }
    void fill_ring_with_trips() {
        for (int i = 0; i < 80; ++i) {
            sequencer.control(now, Control::emergency_stop);
            sequencer.control(now, Control::emergency_reset);
            sequencer.control(now, Control::acknowledge);
            measure();
        }
    }

    static Config config() {
        Config c;
        c.start_mark = Mark::minute;
        c.watchdog_ms = 4'000'000;
        return c;
    }
    Reading reading() const {
        Reading r;
        r.supply = Supply::right;
        r.battery_mv = r.bus_mv = 25'000;
        const bool on = sequencer.drive().on;
        r.loop_current_ma[0] = on ? static_cast<std::int32_t>(sequencer.drive().target_ma_peak) : 0;
        if (!on) r.loop_resistance_mohm = {900, 900};
        return r;
    }

    Sequencer sequencer;
    Instant now{0};
    std::array<std::uint8_t, image_bytes_max> image{};
    std::size_t length = 0;
};

struct CountedEvent {
    const char* name;
    bool category_0;  ///< ends with the power stage off in the same call
    void (*prepare)(Counted&);
    void (*call)(Counted&);
};

inline constexpr CountedEvent counted_events[] = {
    {"emergency_stop_in_dwell", true, [](Counted& u) { u.to_phase(Phase::dwell); },
     [](Counted& u) { u.sequencer.control(u.now, Control::emergency_stop); }},
    {"emergency_stop_with_full_ring", true,
     [](Counted& u) {
         u.to_standby();
         u.fill_ring_with_trips();
         u.advance_to_deadline();
         u.sequencer.control(u.now, Control::arm);
         u.sequencer.control(u.now, Control::go);
         for (int i = 0; i < 60 && u.sequencer.progress().phase != Phase::dwell; ++i) {
             u.advance_to_deadline();
             u.measure();
         }
     },
     [](Counted& u) { u.sequencer.control(u.now, Control::emergency_stop); }},
    {"over_current_in_dwell", true, [](Counted& u) { u.to_phase(Phase::dwell); },
     [](Counted& u) {
         Reading r = u.reading();
         r.loop_current_ma[0] = 50'000;
         u.sequencer.measure(u.now, r);
     }},
    {"supply_lost_in_dwell", true, [](Counted& u) { u.to_phase(Phase::dwell); },
     [](Counted& u) {
         Reading r = u.reading();
         r.supply = Supply::absent;
         u.sequencer.measure(u.now, r);
     }},
    {"late_call_in_ramp", true, [](Counted& u) { u.to_phase(Phase::ramp_up); },
     [](Counted& u) { u.sequencer.advance(u.sequencer.deadline() + Ticks{1'000u}); }},
    {"reading_in_dwell", false, [](Counted& u) { u.to_phase(Phase::dwell); },
     [](Counted& u) { u.measure(); }},
    {"ramp_level", false, [](Counted& u) { u.to_phase(Phase::ramp_up); },
     [](Counted& u) { u.advance_to_deadline(); }},
    {"stop_in_dwell", false,
     [](Counted& u) {
         u.to_phase(Phase::dwell);
         u.now = u.now + Ticks{1'000'000'001u};
     },
     [](Counted& u) { u.sequencer.control(u.now, Control::stop); }},
    {"next_step", false, [](Counted& u) { u.to_phase(Phase::gap); },
     [](Counted& u) { u.advance_to_deadline(); }},
    {"go_on_a_minute", false, [](Counted& u) { u.to_armed(); },
     [](Counted& u) { u.sequencer.control(u.now, Control::go); }},
    {"arm_64_steps", false, [](Counted& u) { u.to_standby(); },
     [](Counted& u) { u.sequencer.control(u.now, Control::arm); }},
    {"load_64_steps", false, [](Counted& u) { u.to_standby(); },
     [](Counted& u) { (void)u.sequencer.load(u.now, std::span{u.image}.first(u.length)); }},
};

}  // namespace ampturn::core::test
