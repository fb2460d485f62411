#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "scheduler/core/image.hpp"
#include "scheduler/core/sequencer.hpp"

namespace ampturn::core::test {

/// A sequencer with a stand-in for the plant whose current follows the command, read whenever the
/// sequencer's deadline passes. `reading` may be spoilt at will; current_ma < 0 means "follow the command".
class SequencerFixture {
  public:
    explicit SequencerFixture(const Config& config = {}) : sequencer(config), clock_hz(config.clock_hz) {
        reading.battery_mv = 25'000;
        reading.bus_mv = 25'000;
        reading.supply = Supply::right;
        reading.loop_resistance_mohm = {900, 900};
    }

    TableCheck load(const Table& table) {
        std::array<std::uint8_t, image_bytes_max> image;
        const std::size_t length = write_image(table, clock_hz, image);
        return sequencer.load(now, std::span{image}.first(length));
    }

    void measure() {
        Reading now_read = reading;
        const Drive& drive = sequencer.drive();
        for (unsigned loop = 0; loop < 2; ++loop) {
            const bool fed = drive.on && (static_cast<unsigned>(drive.selection.loop) >> loop & 1u) != 0;
            if (current_ma[loop] >= 0)
                now_read.loop_current_ma[loop] = current_ma[loop];
            else
                now_read.loop_current_ma[loop] = fed ? static_cast<std::int32_t>(drive.target_ma_peak) : 0;
            if (drive.on) now_read.loop_resistance_mohm[loop] = Reading::not_tested;
        }
        sequencer.measure(now, now_read);
    }

    /// Takes every deadline up to `until`, with a reading at each and one a second before the watchdog.
    void run_to(Instant until) {
        for (;;) {
            Instant next = sequencer.deadline();
            if (reads && sequencer.silent_at() != Instant::never() && next == sequencer.silent_at())
                next = next > now + Ticks{clock_hz} ? Instant{next.ticks_since_power_on() - clock_hz}
                                                    : now + Ticks{1};
            if (next > until) break;
            now = next > now ? next : now;
            sequencer.advance(now);
            if (reads) measure();
            drives.push_back(sequencer.drive());
        }
        now = until;
        sequencer.advance(now);
    }
    void run_ms(std::uint32_t span_ms) { run_to(now + ticks_of_ms(clock_hz, span_ms)); }
    /// Runs until the state is left, at most `limit_ms`; true if it was.
    bool run_while(State state, std::uint32_t limit_ms = 4'000'000) {
        const Instant limit = now + ticks_of_ms(clock_hz, limit_ms);
        while (sequencer.state() == state && sequencer.deadline() <= limit) run_to(sequencer.deadline());
        return sequencer.state() != state;
    }
    Reply control(Control control) { return sequencer.control(now, control); }

    void to_standby() {
        measure();
        run_ms(1'000);
        measure();
    }
    void to_armed() {
        to_standby();
        control(Control::arm);
    }
    void to_warning() {
        to_armed();
        control(Control::go);
    }
    void to_sending() {
        to_warning();
        run_to(sequencer.start_at());
    }
    void to_phase(Phase phase, std::uint8_t step_index = 0) {
        to_sending();
        while (sequencer.state() == State::sending &&
               (sequencer.progress().phase != phase || sequencer.progress().step_index != step_index))
            run_to(sequencer.deadline());
    }

    std::vector<Record> drain() {
        std::vector<Record> out;
        for (Record record; sequencer.records().pop(record);) out.push_back(record);
        return out;
    }

    Sequencer sequencer;
    std::uint32_t clock_hz;
    Instant now{0};
    Reading reading;
    std::array<std::int32_t, 2> current_ma{-1, -1};
    bool reads = true;
    std::vector<Drive> drives;
};

/// Two loops, three frequencies; every selection differs from the one before.
inline Table three_steps() {
    Table table;
    table.table_id = 7;
    table.step_count = 3;
    table.steps[0] = {
        .loop = Loop::a, .divisor = 10'000, .cycles = 4'800, .current_ma_peak = 8'000, .ramp_cycles = 24};
    table.steps[1] = {.loop = Loop::b,
                      .tap = 2,
                      .capacitor = 3,
                      .divisor = 40'000,
                      .cycles = 1'200,
                      .current_ma_peak = 9'500,
                      .ramp_cycles = 6};
    table.steps[2] = {.loop = Loop::both_in_quadrature,
                      .tap = 1,
                      .divisor = 1'000,
                      .cycles = 24'000,
                      .current_ma_peak = 2'000,
                      .ramp_cycles = 3};
    return table;
}

}  // namespace ampturn::core::test
