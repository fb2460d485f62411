#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "scheduler/emission/sweep_emission.hpp"
#include "scheduler/plan/remarks.hpp"

namespace ampturn::emission {

/// A sentence a table or own limit that lines of the sweep fall under: how far above or below in its worst band, at which step. Decibels rounded up.
std::vector<std::string> verdict_sentences(const SweepEmission& emission);
/// Those above their limit, at the plan's key.
std::vector<plan::Remark> emission_remarks(const plan::Plan& plan, const SweepEmission& emission);

/// Field strengths step by step, verdicts, services that lines fall on.
std::string emission_text(const SweepEmission& emission, bool colour);
nlohmann::json emission_json(const SweepEmission& emission);

}  // namespace ampturn::emission
