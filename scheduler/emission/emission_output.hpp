#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "scheduler/emission/sweep_emission.hpp"
#include "scheduler/plan/remarks.hpp"

namespace ampturn::emission {

/// Over a table of emission.
inline constexpr const char* emission_caption =
    "Magnetic field in the worst direction, rms, fundamentals, with a rested battery and cold copper";

/// Decibels over one microampere or microvolt a metre, rounded up to a tenth.
std::string db_text(double per_m);

/// A sentence for each table or own limit that lines of the sweep fall under: how far above or below it in its worst band, at
/// which step. Strength rounded up, limit rounded down.
std::vector<std::string> verdict_sentences(const SweepEmission& emission);
/// What the worst line of a step comes to: "3.2 dB above ERC/REC 70-03 annex 9, harmonic 5"; "-" without a limit.
std::string against_text(const SweepEmission& emission, const StepEmission& step);
/// A sentence for each service that lines fall on.
std::vector<std::string> service_sentences(const SweepEmission& emission);
/// Limits that are not kept, at the plan's key; services under harmonics above a limit, at the worst step.
std::vector<plan::Remark> emission_remarks(const plan::Plan& plan, const SweepEmission& emission);

/// Field strengths step by step, verdicts, services that lines fall on.
std::string emission_text(const SweepEmission& emission, bool colour);
nlohmann::json emission_json(const SweepEmission& emission);

}  // namespace ampturn::emission
