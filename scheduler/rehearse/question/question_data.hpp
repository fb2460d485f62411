#pragma once

#include <Eigen/Core>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/rehearse/question/question_model.hpp"
#include "scheduler/rehearse/station/station.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse::question {

/// The data a question is answered from: ln rho_a and phase of xy and yx, reading by reading, four each.

/// Both loops' lines of one frequency at one station.
struct SentReading {
    int station_index;
    std::size_t frequency_index;
    int hour;                    // local, decides the noise
    reading::Transmission a, b;  // of all sweeps together
    double energy_wh;            // of all sweeps together; shared by the stations asked of that listened
};
/// What a simulated day sent to the stations the question asks of; readings with both loops only.
std::vector<SentReading> readings_of(const plan::Plan& plan, const day::DayResult& day);

/// Variance of a datum over the dwells of its two loops: steady + a/T_A + b/T_B, the latter in two parts: of
/// sensors' noise and mains, and of the natural field. steady: sensors laid out wrong, and forward_error of invert.hpp.
/// Gains of the sensors, which all stations of a set share, stand in Hypotheses.
struct DatumNoise {
    double steady;
    double a_s, b_s, natural_a_s, natural_b_s;
};

struct QuestionData {
    std::vector<SentReading> readings;
    std::vector<DatumNoise> noise;  // four a reading
    std::vector<int> stations;      // each once, in order
    Hypotheses sought;
    double depth_m = 0;  // of the interface asked for
    /// With the readings' own dwells.
    DataNoise data_noise(const plan::Plan& plan) const;
};

/// responses: as many as the frequencies the readings point into. [question] must be in the plan. Jacobians
/// of the loops as dipoles.
QuestionData question_data(const plan::Plan& plan, const setup::SweepSetup& setup,
                           std::vector<SentReading> readings,
                           const std::vector<reading::FrequencyResponse>& responses);

}  // namespace ampturn::rehearse::question
