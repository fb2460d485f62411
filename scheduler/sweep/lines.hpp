#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "model/receiver/lines.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// "41st harmonic of 50 Hz is 2 Hz away, guard 7.1 Hz".
std::string remark_text(const model::LineRemark& remark);

std::string lines_text(const Plan& plan, const std::vector<model::LineVerdict>& verdicts, bool colour);
nlohmann::json lines_json(const Plan& plan, const std::vector<model::LineVerdict>& verdicts);

/// Proposed lines, a line each with its reason, then `frequencies_hz = [...]` for a plan file.
std::string proposal_text(const Plan& plan, const std::vector<model::ProposedLine>& lines);
nlohmann::json proposal_json(const Plan& plan, const std::vector<model::ProposedLine>& lines);

}  // namespace ampturn::plan
