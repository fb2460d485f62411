#include <fmt/format.h>

#include <cstddef>

#include "scheduler/plan/file/config_expand.hpp"

namespace ampturn::plan::file {

namespace {

struct RequestedStep {
    Step step;  // all but its drive
    StepLoop loop = StepLoop::each;
};

RequestedStep requested_step(const SweepInput& sweep, const StepInput& step, bool of_list,
                             std::size_t index) {
    return {.step = {.frequency_hz = step.frequency_hz,
                     .turns_in_use = step.turns_in_use ? step.turns_in_use : sweep.turns_in_use,
                     .capacitor = step.capacitor ? step.capacitor : sweep.capacitor,
                     .dwell_s = step.dwell_s.value_or(sweep.dwell_s),
                     .min_dwell_s = step.min_dwell_s.value_or(sweep.min_dwell_s),
                     .max_dwell_s = step.max_dwell_s.value_or(sweep.max_dwell_s),
                     .current_a_peak = step.current_a_peak.value_or(sweep.current_a_peak),
                     .ramp_cycles = step.ramp_cycles.value_or(sweep.ramp_cycles),
                     .settle_s = step.settle_s.value_or(sweep.settle_s),
                     .gap_s = step.gap_s.value_or(sweep.gap_s),
                     .align = step.align.value_or(sweep.align),
                     .of_list = of_list,
                     .entry = static_cast<int>(index) + 1},
            .loop = step.loop.value_or(sweep.loop)};
}

model::loop::LoopSelection loop_of(StepLoop loop, bool second_of_each) {
    switch (loop) {
        case StepLoop::a:
            return model::loop::LoopSelection::a;
        case StepLoop::b:
            return model::loop::LoopSelection::b;
        case StepLoop::each:
            return second_of_each ? model::loop::LoopSelection::b : model::loop::LoopSelection::a;
        case StepLoop::quadrature:
            return model::loop::LoopSelection::both;
    }
    return model::loop::LoopSelection::a;
}

void add_step(std::vector<Step>& steps, const RequestedStep& requested, bool second_of_each) {
    Step step = requested.step;
    step.loop = loop_of(requested.loop, second_of_each);
    steps.push_back(step);
}

}  // namespace

Sweep expand_sweep(const SweepInput& input, Refusals& refusals) {
    constexpr std::size_t steps_max = 64;
    Sweep sweep{.name = input.name,
                .order = input.order,
                .start_align = input.start_align,
                .steps = {},
                .coherent_records = input.coherent_records,
                .time_budget_s = input.time_budget_s,
                .energy_budget_wh = input.energy_budget_wh};
    if (input.frequencies_hz.empty() == input.steps.empty()) {
        refusals.add("sweep",
                     input.steps.empty() ? "neither frequencies_hz nor steps" : "frequencies_hz and steps",
                     "frequencies_hz or [[sweep.step]] tables, one of the two");
        return sweep;
    }
    std::vector<RequestedStep> requested;
    for (std::size_t i = 0; i < input.frequencies_hz.size(); ++i) {
        StepInput bare;
        bare.frequency_hz = input.frequencies_hz[i];
        requested.push_back(requested_step(input, bare, true, i));
    }
    for (std::size_t i = 0; i < input.steps.size(); ++i)
        requested.push_back(requested_step(input, input.steps[i], false, i));

    for (const RequestedStep& step : requested) {
        if (input.order == SweepOrder::whole && step.loop == StepLoop::b)
            continue;  // with the second half of the sweep
        add_step(sweep.steps, step, false);
        if (input.order == SweepOrder::each && step.loop == StepLoop::each) add_step(sweep.steps, step, true);
    }
    if (input.order == SweepOrder::whole)
        for (const RequestedStep& step : requested)
            if (step.loop == StepLoop::each || step.loop == StepLoop::b) add_step(sweep.steps, step, true);

    if (sweep.steps.size() > steps_max)
        refusals.add(input.steps.empty() ? "sweep.frequencies_hz" : "sweep.step",
                     fmt::format("{} steps, counting each loop", sweep.steps.size()),
                     fmt::format("at most {} steps", steps_max));
    for (const RequestedStep& step : requested) {
        const Step& s = step.step;
        if (s.min_dwell_s > s.max_dwell_s)
            refusals.add(s.key(),
                         fmt::format("min_dwell_s {} above max_dwell_s {}", s.min_dwell_s, s.max_dwell_s),
                         "min_dwell_s no more than max_dwell_s");
        else if (s.dwell_s < s.min_dwell_s || s.dwell_s > s.max_dwell_s)
            refusals.add(s.key(), fmt::format("dwell_s {}", s.dwell_s),
                         fmt::format("min_dwell_s to max_dwell_s, {} to {} s", s.min_dwell_s, s.max_dwell_s));
        if (s.dwell_s * s.frequency_hz < 1)
            refusals.add(s.key(), fmt::format("dwell_s {} at {} Hz", s.dwell_s, s.frequency_hz),
                         "a dwell of at least one cycle");
    }
    return sweep;
}

}  // namespace ampturn::plan::file
