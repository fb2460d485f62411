#include "scheduler/receiver_sheet/receiver_schedule.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <variant>

#include "model/base/constants.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/reading/tensor_reading.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/safety_figure.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::receiver_sheet {
namespace {

constexpr double room = 2;  // 6 dB; common practice, no source
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

class Scheduler {
  public:
    Scheduler(const plan::Plan& plan, const setup::SweepSetup& setup, const day::DayResult& day,
              unsigned threads)
        : plan_(plan), day_(day), responses_(reading::station_responses(plan, setup, threads)) {}

    ListenedStation station(int index) const {
        const std::size_t s = static_cast<std::size_t>(index);
        const plan::Receiver receiver = plan::receiver_of(plan_, plan_.stations[s]);
        ListenedStation out{.station_index = index,
                            .arrives_s = not_known,
                            .ready_s = not_known,
                            .leaves_s = not_known,
                            .e_v = {0, receiver.e_full_scale_v, 0},
                            .b_nt = {0, receiver.b_full_scale_nt, 0},
                            .sweeps = {},
                            .not_sent = {}};
        add_stay(out);
        for (const day::SweepOutcome& sweep : day_.sweeps) {
            if (!sweep.heard_by(index)) continue;
            if (sweep.steps.empty())
                out.not_sent = report::stop_text(sweep);
            else
                out.sweeps.push_back(listened(sweep, s, receiver));
        }
        if (!out.sweeps.empty()) out.not_sent.clear();
        add_peaks(out, s, receiver);
        return out;
    }

  private:
    void add_stay(ListenedStation& out) const {
        for (const day::TimelineEntry& entry : day_.timeline) {
            if (entry.station_index != out.station_index) continue;
            if (std::holds_alternative<day::SetUp>(entry.activity)) {
                out.arrives_s = entry.start_s;
                out.ready_s = entry.end_s;
            } else if (std::holds_alternative<day::PackUp>(entry.activity)) {
                out.leaves_s = entry.end_s;
            }
        }
    }

    /// The largest line of each channel, all that this step sends.
    static setup::Crest line_of(const day::StepOutcome& step, model::loop::LoopSelection loop,
                                const reading::FrequencyResponse& response, std::size_t s) {
        reading::ReadingInput input{};
        input.a = response.loop_a[s];
        input.b = response.loop_b[s];
        using model::loop::LoopSelection;
        if (loop != LoopSelection::b) input.sent_a.add(step.moment_a_m2_peak, step.dwell_s);
        if (loop == LoopSelection::b) input.sent_b.add(step.moment_a_m2_peak, step.dwell_s);
        if (loop == LoopSelection::both) input.sent_b.add(step.moment_b_a_m2_peak, step.dwell_s);
        return reading::line_crest(input);
    }

    const reading::FrequencyResponse& response_of(const setup::TableRow& row) const {
        return *std::find_if(responses_.begin(), responses_.end(),
                             [&](const auto& r) { return r.frequency_hz == row.frequency_hz; });
    }

    ListenedSweep listened(const day::SweepOutcome& sweep, std::size_t s,
                           const plan::Receiver& receiver) const {
        ListenedSweep out{sweep.sweep_number, sweep.start_s, sweep.end_s, sweep.complete(), {}};
        const int hour = static_cast<int>(sweep.start_s / 3600) % 24;
        for (const day::StepOutcome& step : sweep.steps) {
            if (!(step.dwell_s > 0)) continue;
            const setup::TableRow& row = day_.table[static_cast<std::size_t>(step.step_number - 1)];
            const reading::FrequencyResponse& response = response_of(row);
            const model::receiver::NoiseAt noise =
                setup::noise_at_station(plan_, plan_.stations[s], hour, response.frequency_hz,
                                        std::abs(response.plane_impedance_ohm[s]));
            const setup::Crest line = line_of(step, row.loop, response, s);
            const setup::Sampling sampling =
                setup::sampling_for(receiver, response.frequency_hz, step.dwell_s);
            const double record_s = static_cast<double>(sampling.record_length) / sampling.sample_rate_hz;
            const double bins = setup::noise_bandwidth_bins(receiver.window);
            const auto snr = [&](double amplitude, double psd) {
                return amplitude * amplitude / reading::amplitude_variance(psd, bins, record_s);
            };
            const double wire = std::norm(setup::wire_response_of(receiver, response.frequency_hz));
            out.steps.push_back(
                {.step_number = step.step_number,
                 .loop = row.loop,
                 .frequency_hz = response.frequency_hz,
                 .start_s = step.start_s,
                 .dwell_s = step.dwell_s,
                 .record_s = record_s,
                 .whole_records = static_cast<int>(sampling.record_count),
                 .line_e_v = line.e_v_per_m * receiver.dipole_m,
                 .line_b_nt = 1e9 * model::mu0_h_per_m * line.h_a_per_m,
                 .e_snr_one_record = wire * snr(line.e_v_per_m, std::max(noise.e_north(), noise.e_east())),
                 .b_snr_one_record = snr(line.h_a_per_m, std::max(noise.h_north(), noise.h_east()))});
        }
        return out;
    }

    void add_peaks(ListenedStation& out, std::size_t s, const plan::Receiver& receiver) const {
        double line_e_v = 0, line_b_nt = 0;
        for (const ListenedSweep& sweep : out.sweeps)
            for (const ArrivingStep& step : sweep.steps) {
                line_e_v = std::max(line_e_v, step.line_e_v);
                line_b_nt = std::max(line_b_nt, step.line_b_nt);
            }
        // The same at all frequencies: it is what the converter takes, whatever line is looked at.
        const setup::Crest background =
            responses_.front().background_crest[s].with_mains(setup::mains_b_t(plan_, plan_.stations[s]));
        out.e_v.peak = line_e_v + background.e_v_per_m * receiver.dipole_m;
        out.b_nt.peak = line_b_nt + 1e9 * model::mu0_h_per_m * background.h_a_per_m;
        for (RangeUse* use : {&out.e_v, &out.b_nt})
            use->full_scale_least = setup::rounded_up_to_digits(room * use->peak, 2);
    }

    const plan::Plan& plan_;
    const day::DayResult& day_;
    std::vector<reading::FrequencyResponse> responses_;
};

}  // namespace

double RangeUse::gain_most() const {
    if (!(full_scale_least > 0)) return std::numeric_limits<double>::infinity();
    const double gain = full_scale / full_scale_least;
    return gain >= 10 ? std::floor(gain) : std::floor(gain * 10) / 10;
}

std::vector<CrewSchedule> receiver_schedules(const plan::Plan& plan, const setup::SweepSetup& setup,
                                             const day::DayResult& day, unsigned threads) {
    const Scheduler scheduler(plan, setup, day, threads);
    std::vector<CrewSchedule> out;
    for (const day::CrewSummary& crew : day.receiver_crews) out.push_back({crew.name, {}});
    if (out.empty()) out.push_back({"", {}});
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        out[static_cast<std::size_t>(day.stations[s].crew_index)].stations.push_back(
            scheduler.station(static_cast<int>(s)));
    return out;
}

}  // namespace ampturn::receiver_sheet
