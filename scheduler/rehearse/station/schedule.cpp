#include "scheduler/rehearse/station/schedule.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "model/fields/fields.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/core/table.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/rehearse/station/invert.hpp"
#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::station {

using record::ex;
using record::ey;
using record::hx;
using record::hy;
using record::hz;

namespace {

using Complex = std::complex<double>;

/// (-i)^turns.
Complex quarter_turns_back(int turns) {
    constexpr Complex powers[] = {{1, 0}, {0, -1}, {-1, 0}, {0, 1}};
    return powers[turns % 4];
}

std::size_t index_of(const std::vector<double>& values, double value) {
    return static_cast<std::size_t>(std::find(values.begin(), values.end(), value) - values.begin());
}

void add_field(record::SourceLine& line, const reading::FieldPerMoment& field, Complex moment) {
    line.amplitude[ex] += moment * field.horizontal.ex_v_per_m;
    line.amplitude[ey] += moment * field.horizontal.ey_v_per_m;
    line.amplitude[hx] += moment * field.horizontal.hx_a_per_m;
    line.amplitude[hy] += moment * field.horizontal.hy_a_per_m;
    line.amplitude[hz] += moment * field.hz_a_per_m;
}

/// Fields of the loops as dipoles: good for harmonics, whose lines only have to be about as high as they are.
reading::FrequencyResponse dipole_response(const plan::Plan& plan, const setup::SweepSetup& setup,
                                           double frequency_hz) {
    reading::FrequencyResponse response{.frequency_hz = frequency_hz,
                                        .plane_impedance_ohm = {},
                                        .background_crest = {},
                                        .loop_a = {},
                                        .loop_b = {}};
    for (int s = 0; s < static_cast<int>(plan.stations.size()); ++s) {
        const model::inversion::DipolePair pair = dipoles_of(plan, setup.transmitter.design, s);
        const std::array<model::fields::Source, 2> sources{pair.a, pair.b};
        const model::fields::Receiver receiver{pair.receiver_x_m, pair.receiver_y_m};
        const model::ground::LayeredEarth& ground =
            setup.ground_of(plan.stations[static_cast<std::size_t>(s)]);
        const auto fields = model::fields::fields_at(ground, frequency_hz, sources, std::span(&receiver, 1),
                                                     {.tolerance_rel = 1e-4});
        response.plane_impedance_ohm.push_back(model::ground::plane_wave_impedance_ohm(ground, frequency_hz));
        const auto unit = [](const model::fields::Fields& f) {
            return reading::FieldPerMoment{{f.ex_v_per_m, f.ey_v_per_m, f.hx_a_per_m, f.hy_a_per_m},
                                           f.hz_a_per_m};
        };
        response.loop_a.push_back(unit(fields[0][0].fields));
        response.loop_b.push_back(unit(fields[1][0].fields));
    }
    return response;
}

}  // namespace

std::vector<HarmonicRatios> harmonic_ratios(const model::transmitter::Transmitter& transmitter,
                                            const setup::PlannedTable& table) {
    const model::transmitter::Conditions conditions =
        setup::transmitter_conditions(transmitter, table.made_for);
    std::vector<HarmonicRatios> ratios;
    for (const setup::TableRow& row : table.rows) {
        const model::transmitter::OperatingPoint point =
            model::transmitter::solve_operating_point(transmitter, conditions, row.request);
        HarmonicRatios row_ratios{1};
        const auto& peaks = point.current.harmonic_peak_a;
        for (std::size_t i = 1; i < source_orders.size() && peaks[0] > 0; ++i)
            row_ratios[i] = peaks[static_cast<std::size_t>(source_orders[i] - 1) / 2] / peaks[0];
        ratios.push_back(row_ratios);
    }
    return ratios;
}

FieldTable::FieldTable(const plan::Plan& plan, const setup::SweepSetup& setup, unsigned threads)
    : frequencies_hz_(setup.frequencies_hz) {
    std::vector<double> harmonics_hz;
    for (const setup::TableRow& row : setup.table.rows) {
        const double half_rate_hz =
            setup::sampling_for(plan.receiver, row.frequency_hz, row.dwell_s).sample_rate_hz / 2;
        for (const int order : source_orders) {
            const double frequency_hz = order * row.frequency_hz;
            if (order > 1 && frequency_hz < half_rate_hz && frequency_hz <= 1e6 &&
                index_of(harmonics_hz, frequency_hz) == harmonics_hz.size())
                harmonics_hz.push_back(frequency_hz);
        }
    }
    responses_ = reading::station_responses(plan, setup, threads);
    for (const double frequency_hz : harmonics_hz) {
        if (index_of(frequencies_hz_, frequency_hz) < frequencies_hz_.size()) continue;
        frequencies_hz_.push_back(frequency_hz);
        responses_.push_back(dipole_response(plan, setup, frequency_hz));
    }
}

const reading::FrequencyResponse* FieldTable::at(double fundamental_hz, int order) const {
    const std::size_t i = index_of(frequencies_hz_, order * fundamental_hz);
    return i < responses_.size() ? &responses_[i] : nullptr;
}

std::vector<SentStep> steps_sent_to(const day::DayResult& day, int station_index) {
    std::vector<SentStep> steps;
    for (const day::SweepOutcome& sweep : day.sweeps) {
        if (!sweep.heard_by(station_index)) continue;
        for (const day::StepOutcome& step : sweep.steps) {
            if (!step.complete) continue;
            const setup::TableRow& row = day.table[static_cast<std::size_t>(step.step_number - 1)];
            steps.push_back({.sweep_number = sweep.sweep_number,
                             .step_number = step.step_number,
                             .loop = row.loop,
                             .frequency_index = index_of(day.frequencies_hz, row.frequency_hz),
                             .start_s = step.start_s,
                             .dwell_s = step.dwell_s,
                             .moment_a_m2 = step.moment_a_m2_peak,
                             .moment_b_a_m2 = step.moment_b_a_m2_peak,
                             .energy_wh = step.energy_wh,
                             .listeners = &sweep.listeners});
        }
    }
    return steps;
}

double clock_error(const plan::Plan& plan) {
    return (1 + 1e-6 * plan.driver.clock_error_ppm) / (1 + 1e-6 * plan.receiver.clock_error_ppm) - 1;
}

record::StepRecording recording_of(const plan::Plan& plan, const day::DayResult& day, const SentStep& step,
                                   int station_index, const FieldTable& fields,
                                   const HarmonicRatios& harmonics) {
    const auto row = static_cast<std::size_t>(step.step_number - 1);
    const double frequency_hz = day.table[row].frequency_hz;
    const double ramp_cycles = plan.sweep.steps[row].ramp_cycles;
    const double seen = 1 + clock_error(plan);
    record::StepRecording recording{
        .sampling = setup::sampling_for(plan.receiver, frequency_hz, step.dwell_s),
        .frequency_hz = frequency_hz,
        .start_s = step.start_s,
        .ramp_s = ramp_cycles / frequency_hz,
        .dwell_s = step.dwell_s,
        .envelope = {ramp_cycles, std::round(step.dwell_s * frequency_hz),
                     std::min(ramp_cycles, double{core::ramp_segments_max})},
        .lines = {},
        .stream =
            run::combine(run::combine(run::stream_of("rehearse"), static_cast<std::uint64_t>(station_index)),
                         1000 * static_cast<std::uint64_t>(step.sweep_number) +
                             static_cast<std::uint64_t>(step.step_number))};
    const auto station = static_cast<std::size_t>(station_index);
    const plan::Receiver receiver = plan::receiver_of(plan, plan.stations[station]);
    for (std::size_t i = 0; i < source_orders.size(); ++i) {
        const reading::FrequencyResponse* response = fields.at(frequency_hz, source_orders[i]);
        if (response == nullptr || source_orders[i] * frequency_hz * 2 >= recording.sampling.sample_rate_hz)
            continue;
        record::SourceLine line{.frequency_hz = source_orders[i] * frequency_hz * seen, .amplitude = {}};
        const double moment = step.moment_a_m2 * harmonics[i];
        if (model::loop::feeds(step.loop, model::loop::LoopSelection::a))
            add_field(line, response->loop_a[station], moment);
        // A quarter period of the fundamental is order quarter periods of a harmonic.
        if (step.loop == model::loop::LoopSelection::b) add_field(line, response->loop_b[station], moment);
        if (step.loop == model::loop::LoopSelection::both)
            add_field(line, response->loop_b[station],
                      step.moment_b_a_m2 * harmonics[i] * quarter_turns_back(source_orders[i]));
        const Complex wire = setup::wire_response_of(receiver, source_orders[i] * frequency_hz);
        line.amplitude[record::ex] *= wire;
        line.amplitude[record::ey] *= wire;
        recording.lines.push_back(line);
    }
    return recording;
}

}  // namespace ampturn::rehearse::station
