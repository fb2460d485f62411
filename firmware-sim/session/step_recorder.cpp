#include "firmware-sim/session/step_recorder.hpp"

#include <algorithm>
#include <utility>

namespace ampturn::sim::session {

std::optional<TransmittedStep> StepRecorder::watch(const site::Site& site) {
    const core::Sequencer& core = site.unit().core();
    const core::Progress progress = core.progress();
    const bool in_dwell = progress.phase == core::Phase::dwell && core.drive().on;
    if (current_) {
        const bool same = in_dwell && current_->start_tick == progress.phase_start.ticks_since_power_on();
        if (same) return std::nullopt;
        TransmittedStep sent = *std::exchange(current_, std::nullopt);
        const core::Ticks whole = core::dwell(sent.step);
        const core::Instant planned_end = core::Instant{sent.start_tick} + whole;
        sent.end_tick = std::min(planned_end, site.now()).ticks_since_power_on();
        sent.complete = site.now() >= planned_end && core.state() != core::State::tripped;
        if (sent.readings > 0) {
            sent.current_ma_peak /= sent.readings;
            sent.bus_mv /= sent.readings;
            sent.battery_mv /= sent.readings;
        }
        return sent;
    }
    if (in_dwell) {
        TransmittedStep sent;
        sent.step_number = progress.step_index + 1;
        sent.sweep_number = progress.sweep_index + 1;
        sent.step = core.table().steps[progress.step_index];
        sent.start_tick = progress.phase_start.ticks_since_power_on();
        const core::UtcClock& utc = core.utc();
        if (utc.known() && progress.phase_start >= utc.set_at()) {
            // Ramps and dwell are whole cycles, so a drive cycle starts where the dwell does.
            const core::Instant second = utc.instant_of(utc.second_at_or_after(progress.phase_start));
            sent.phase_at_second_mdeg =
                (second - progress.phase_start).count() % sent.step.divisor * 360'000 / sent.step.divisor;
        }
        current_ = sent;
    }
    return std::nullopt;
}

void StepRecorder::add_reading(const site::Site& site) {
    if (!current_ || site.unit().core().progress().phase != core::Phase::dwell) return;
    const std::uint64_t half_second = site.transmitter().setup.config.clock_hz / 2;
    if (site.now().ticks_since_power_on() < current_->start_tick + half_second) return;
    const core::Reading& reading = site.unit().core().last_reading();
    ++current_->readings;
    current_->current_ma_peak += std::max(reading.loop_current_ma[0], reading.loop_current_ma[1]);
    current_->bus_mv += reading.bus_mv;
    current_->battery_mv += reading.battery_mv;
}

}  // namespace ampturn::sim::session
