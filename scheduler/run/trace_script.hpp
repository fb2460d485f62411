#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::run {

/// Why a line of a script is refused: in the parts a person needs. Views into constants or into the line.
struct ScriptFault {
    bool bad = false;
    std::string_view found;
    std::string_view allowed;
};

/// Runs a script of inputs on a sequencer and writes its trace: every record, command, deadline and
/// indication, as integers and words. One and the same source runs on the host and on the bare-metal target
/// (no heap, no locale, no clock), so that their traces can be compared byte for byte.
///
/// A script is lines of words; `#` starts a comment. Spans are ticks, or end in `ms` or `s`.
///
///     script NAME             start afresh: new unit, default settings, no steps
///     unit KEY VALUE          a setting (names as in core/config.hpp, and start_mark, loops_fitted, quadrature);
///                             before the first load, reading, control or span
///     step LOOP TAP CAPACITOR DIVISOR CYCLES CURRENT_MA_PEAK RAMP_CYCLES SETTLE_TICKS GAP_TICKS FLAGS
///                             one step more
///     table ID SWEEPS         table id and sweep count of the steps given so far
///     load                    offer the steps as an image; the next step starts a new list
///     load flip BIT           the same, the image damaged: one bit turned over
///     load cut BYTES          the same, that many bytes missing at its end
///     set KEY VALUE           spoil or mend the readings to come:
///                                 current_a_ma, current_b_ma                       -1: follow the command
///                                 resistance_a_mohm, resistance_b_mohm             -1: not tested
///                                 bus_mv, battery_mv, winding_mdeg_c, electronics_mdeg_c
///                                 supply                                           0 absent, 1 right, 2 reversed
///                                 clock_ok, table_store_ok                         0 or 1
///                                 readings                                         0: none are sent
///     read                    a reading now
///     wait SPAN               time passes; every deadline is taken, a reading follows each
///     late SPAN               the host sleeps until that long after the deadline
///     back SPAN               the clock jumps back for one call
///     control WORD            arm, disarm, go, stop, emergency_stop, emergency_reset, acknowledge
///     mark SECOND             a UTC second begins now
class TraceScript {
  public:
    using Sink = void (*)(void* context, std::string_view line);  ///< called with each line, no newline
    TraceScript(Sink sink, void* context);

    /// One line of the script, without its newline.
    ScriptFault line(std::string_view text);

    /// Words of the script's lines, for people who ask.
    static constexpr std::size_t words_max = 12;

  private:
    using Words = std::array<std::string_view, words_max>;
    void start_afresh();
    ScriptFault begin(std::string_view name);
    ScriptFault set_unit(std::string_view key, std::string_view value);
    ScriptFault add_step(const Words& words);
    ScriptFault table(const Words& words);
    ScriptFault load(const Words& words, std::size_t count);
    ScriptFault set_reading(std::string_view key, std::string_view value);
    ScriptFault control(std::string_view word);
    ScriptFault move(std::string_view verb, std::string_view span);
    ScriptFault mark(std::string_view second);

    core::Sequencer& unit();
    void read();
    void wait_until(core::Instant until);
    void report();
    void report_drive();
    void report_indication();
    void report_deadline();
    core::Instant next_stop() const;

    Sink sink_;
    void* context_;
    core::Config config_;
    std::optional<core::Sequencer> unit_;
    core::Table table_;
    bool table_closed_ = false;
    core::Reading reading_;
    std::array<std::int32_t, 2> current_ma_{-1, -1};
    bool readings_ = true;
    core::Instant now_;
    core::Drive reported_drive_;
    core::Instant reported_deadline_ = core::Instant::never();
    core::State reported_state_ = core::State::unpowered;
};

}  // namespace ampturn::run
