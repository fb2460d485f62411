#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "model/receiver/line_placement.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::sweep {

/// "41st harmonic of 50 Hz is 2 Hz away, guard 7.1 Hz".
std::string remark_text(const model::receiver::PlacementRemark& remark);

std::string frequencies_text(const plan::Plan& plan,
                             const std::vector<model::receiver::PlacementVerdict>& verdicts, bool colour);
nlohmann::json frequencies_json(const plan::Plan& plan,
                                const std::vector<model::receiver::PlacementVerdict>& verdicts);

/// Proposed frequencies under the rules they keep, a line of text each with its reason, then `frequencies_hz = [...]` for a
/// plan file.
std::string proposal_text(const model::receiver::PlacementRules& rules,
                          const std::vector<model::receiver::ProposedFrequency>& proposed);
nlohmann::json proposal_json(const plan::Plan& plan,
                             const std::vector<model::receiver::ProposedFrequency>& proposed);

}  // namespace ampturn::sweep
