#pragma once

#include <cstdint>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/rehearse/question/question_data.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse::question {

/// The answer to a plan's question from a simulated day: what was sent is what counts. Not asked: an Answer
/// with asked = false. responses: of the day's frequencies, in their order.
station::Answer answer_question(const plan::Plan& plan, const setup::SweepSetup& setup,
                                const day::DayResult& day,
                                const std::vector<reading::FrequencyResponse>& responses,
                                const OddsOptions& options);

/// What each frequency tells, at the readings' own dwells and the planned noise level.
std::vector<station::FrequencyInformation> frequency_information(const QuestionData& data,
                                                                 const DataNoise& noise,
                                                                 const std::vector<double>& frequencies_hz);

}  // namespace ampturn::rehearse::question
