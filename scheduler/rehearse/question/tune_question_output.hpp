#pragma once

#include <optional>
#include <string>

#include "scheduler/rehearse/question/tune_question.hpp"

namespace ampturn::rehearse::question {

/// For a terminal, at most 100 columns: the answer before and after, a line for each frequency.
std::string question_tune_text(const QuestionTuned& tuned, const std::optional<QuestionDays>& days,
                               bool colour);
/// Schema "ampturn.tune_for_question" 1; units in the keys.
std::string question_tune_json_text(const QuestionTuned& tuned, const std::optional<QuestionDays>& days);
/// tune.csv: a row per frequency.
std::string question_tune_csv(const QuestionTuned& tuned);
/// One self-contained page: dwells before and after as bars, tables.
std::string question_tune_html(const QuestionTuned& tuned, const std::optional<QuestionDays>& days);

}  // namespace ampturn::rehearse::question
