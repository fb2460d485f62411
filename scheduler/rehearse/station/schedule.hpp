#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "model/transmitter/transmitter.hpp"
#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/rehearse/record/recording.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse::station {

/// Harmonics of the source that are followed: fundamental, third, fifth, seventh.
inline constexpr std::array source_orders{1, 3, 5, 7};

/// Peak of each harmonic of a table row over the fundamental's, from the bridge's steady state under the
/// condition the table was made for. Phases are those of a voltage-fed inductive load, all zero: nothing here
/// depends on them.
using HarmonicRatios = std::array<double, source_orders.size()>;
std::vector<HarmonicRatios> harmonic_ratios(const model::transmitter::Transmitter& transmitter,
                                            const setup::PlannedTable& table);

/// Fields per unit moment at every frequency that a rehearsal needs: those of the table and those of its
/// harmonics that a recording holds (these with the loops as dipoles).
class FieldTable {
  public:
    FieldTable(const plan::Plan& plan, const setup::SweepSetup& setup, unsigned threads);

    /// Null where the harmonic is beyond half the sample rate of the recording or 1 MHz.
    const reading::FrequencyResponse* at(double fundamental_hz, int order) const;

  private:
    std::vector<double> frequencies_hz_;
    std::vector<reading::FrequencyResponse> responses_;
};

/// A step that was sent to a station in the simulated day, with what its recording needs.
struct SentStep {
    int sweep_number, step_number;
    model::loop::LoopSelection loop;
    std::size_t frequency_index;
    double start_s, dwell_s;
    double moment_a_m2;        // of the loop that sends; loop A where both do
    double moment_b_a_m2 = 0;  // loop B where both send, else 0
    double energy_wh;
    const std::vector<int>* listeners = nullptr;  // stations that recorded it, in the day it comes from
};
std::vector<SentStep> steps_sent_to(const day::DayResult& day, int station_index);

/// Relative frequency by which a receiver sees the lines too high: transmitter's clock over receiver's.
double clock_error(const plan::Plan& plan);

/// The recording of one step at one station. Where both loops send, B's moment lags by a quarter period.
record::StepRecording recording_of(const plan::Plan& plan, const day::DayResult& day, const SentStep& step,
                                   int station_index, const FieldTable& fields,
                                   const HarmonicRatios& harmonics);

}  // namespace ampturn::rehearse::station
