#include "scheduler/day/assess_day.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::day {
namespace {

/// What each loop sent for a station, frequency by frequency, and when.
struct StationSent {
    std::vector<reading::Transmission> a, b;                    // in whole records
    std::vector<reading::Transmission> together_a, together_b;  // both at once
    std::vector<reading::NoRecord> no_record;                   // why something that was sent gave none
    std::vector<int> hours;                                     // of each sweep, local
    double recorded_s = 0;
};

StationSent sent_to(const DayRun& run, int station, const std::vector<setup::TableRow>& rows,
                    const std::vector<double>& frequencies_hz, const plan::Receiver& receiver,
                    const MomentFactors& factors) {
    StationSent out;
    out.a.resize(frequencies_hz.size());
    out.b.resize(frequencies_hz.size());
    out.no_record.resize(frequencies_hz.size(), reading::NoRecord::none);
    out.together_a.resize(frequencies_hz.size());
    out.together_b.resize(frequencies_hz.size());
    for (const SweepOutcome& sweep : run.sweeps) {
        if (!sweep.heard_by(station) || sweep.steps.empty()) continue;
        out.hours.push_back(static_cast<int>(sweep.start_s / 3600));
        out.recorded_s += sweep.end_s - sweep.start_s;
        for (const StepOutcome& step : sweep.steps) {
            if (!step.complete) continue;
            const setup::TableRow& row = rows[static_cast<std::size_t>(step.step_number - 1)];
            const auto f = static_cast<std::size_t>(
                std::find(frequencies_hz.begin(), frequencies_hz.end(), row.frequency_hz) -
                frequencies_hz.begin());
            const setup::Sampling sampling = setup::sampling_for(receiver, row.frequency_hz, step.dwell_s);
            if (sampling.record_count == 0) out.no_record[f] = reading::NoRecord::dwell_too_short;
            const double recorded_s = sampling.recorded_s();
            if (row.loop == model::loop::LoopSelection::both) {
                out.together_a[f].add(factors.a * step.moment_a_m2_peak, recorded_s);
                out.together_b[f].add(factors.b * step.moment_b_a_m2_peak, recorded_s);
                continue;
            }
            const bool loop_b = row.loop == model::loop::LoopSelection::b;
            (loop_b ? out.b : out.a)[f].add((loop_b ? factors.b : factors.a) * step.moment_a_m2_peak,
                                            recorded_s);
        }
    }
    return out;
}

model::receiver::NoisePsd mean_of(const model::receiver::NoisePsd& sum, double count) {
    return {.natural = sum.natural / count, .mains = sum.mains / count, .sensor = sum.sensor / count};
}

/// Noise at a station, the mean of the hours its sweeps were sent in (the start of the day when none was).
model::receiver::NoiseAt mean_noise(const plan::Plan& plan, const plan::Station& station,
                                    std::vector<int> hours, double frequency_hz, double impedance_ohm) {
    if (hours.empty()) hours.push_back(static_cast<int>(plan.day.start_s / 3600));
    model::receiver::NoiseAt sum{};  // its direction is the same at all hours
    for (const int hour : hours) {
        const model::receiver::NoiseAt at =
            setup::noise_at_station(plan, station, hour, frequency_hz, impedance_ohm);
        sum.natural_north = at.natural_north;
        sum.natural_east = at.natural_east;
        for (auto [total, part] : {std::pair{&sum.h, &at.h}, std::pair{&sum.e, &at.e}}) {
            total->natural += part->natural;
            total->mains += part->mains;
            total->sensor += part->sensor;
        }
    }
    const auto count = static_cast<double>(hours.size());
    sum.h = mean_of(sum.h, count);
    sum.e = mean_of(sum.e, count);
    return sum;
}

}  // namespace

std::vector<reading::Reading> assess_day(const plan::Plan& plan, const DayRun& run,
                                         const std::vector<setup::TableRow>& rows,
                                         const std::vector<reading::FrequencyResponse>& responses,
                                         const MomentFactors& factors, reading::Reasons reasons) {
    std::vector<double> frequencies_hz;
    for (const reading::FrequencyResponse& response : responses)
        frequencies_hz.push_back(response.frequency_hz);
    std::vector<reading::Reading> out;
    out.reserve(plan.stations.size() * responses.size());
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const plan::Station& station = plan.stations[s];
        const StationSent sent =
            sent_to(run, static_cast<int>(s), rows, frequencies_hz, plan.receiver, factors);
        for (std::size_t f = 0; f < responses.size(); ++f) {
            const reading::FrequencyResponse& response = responses[f];
            reading::ReadingInput input =
                reading::reading_input(plan, response, s, sent.a[f], sent.b[f],
                                       mean_noise(plan, station, sent.hours, response.frequency_hz,
                                                  std::abs(response.plane_impedance_ohm[s])));
            input.recorded_s = sent.recorded_s;
            if (input.no_record == reading::NoRecord::none && !(input.sent_a.sent() && input.sent_b.sent()))
                input.no_record = sent.no_record[f];
            input.together_a = sent.together_a[f];
            input.together_b = sent.together_b[f];
            reading::Reading reading = reading::assess_reading(input, plan.targets, reasons);
            reading.station_index = static_cast<int>(s);
            reading.frequency_index = static_cast<int>(f);
            reading.required = station.requires_frequency(response.frequency_hz);
            out.push_back(std::move(reading));
        }
    }
    return out;
}

}  // namespace ampturn::day
