#include "firmware-sim/session/line_watch.hpp"

#include <algorithm>
#include <utility>

namespace ampturn::sim {

std::optional<SentLine> LineWatch::watch(const Site& site) {
    const core::Sequencer& core = site.unit().core();
    const core::Progress progress = core.progress();
    const bool in_dwell = progress.phase == core::Phase::dwell && core.drive().on;
    if (current_) {
        const bool same = in_dwell && current_->start_tick == progress.phase_start.ticks_since_power_on();
        if (same) return std::nullopt;
        SentLine line = *std::exchange(current_, std::nullopt);
        const core::Ticks whole = core::dwell(line.step);
        const core::Instant planned_end = core::Instant{line.start_tick} + whole;
        line.end_tick = std::min(planned_end, site.now()).ticks_since_power_on();
        line.complete = site.now() >= planned_end && core.state() != core::State::tripped;
        if (line.readings > 0) {
            line.current_ma_peak /= line.readings;
            line.bus_mv /= line.readings;
            line.battery_mv /= line.readings;
        }
        return line;
    }
    if (in_dwell) {
        SentLine line;
        line.step_number = progress.step_index + 1;
        line.sweep_number = progress.sweep_index + 1;
        line.step = core.table().steps[progress.step_index];
        line.start_tick = progress.phase_start.ticks_since_power_on();
        const core::UtcClock& utc = core.utc();
        if (utc.known() && progress.phase_start >= utc.set_at()) {
            // Ramps and dwell are whole cycles, so a drive cycle starts where the dwell does.
            const core::Instant second = utc.instant_of(utc.second_at_or_after(progress.phase_start));
            line.phase_at_second_mdeg =
                (second - progress.phase_start).count() % line.step.divisor * 360'000 / line.step.divisor;
        }
        current_ = line;
    }
    return std::nullopt;
}

void LineWatch::add_reading(const Site& site) {
    if (!current_ || site.unit().core().progress().phase != core::Phase::dwell) return;
    const std::uint64_t half_second = site.kit().setup.config.clock_hz / 2;
    if (site.now().ticks_since_power_on() < current_->start_tick + half_second) return;
    const core::Reading& reading = site.unit().core().last_reading();
    ++current_->readings;
    current_->current_ma_peak += std::max(reading.loop_current_ma[0], reading.loop_current_ma[1]);
    current_->bus_mv += reading.bus_mv;
    current_->battery_mv += reading.battery_mv;
}

}  // namespace ampturn::sim
