#pragma once

#include <string>
#include <vector>

#include "model/receiver/line_placement.hpp"
#include "scheduler/plan/plan.hpp"

/// Frequencies judged and proposed with an eye on harmonics: where an odd harmonic, to the 25th, would fall on a service to
/// avoid and be above a limit of the plan there, its line counts as not clean. Each line, each alternative and each proposal
/// is tried on the plan's transmitter: the steps of the plan nearest to it in log frequency, moved there. Without limits
/// harmonics are not judged, only the lines themselves.
namespace ampturn::emission {

/// The plan's own table, as plan::judge_placement_of, harmonics included.
std::vector<model::receiver::PlacementVerdict> judge_frequencies(const plan::Plan& plan);

/// As model::receiver::propose_frequencies, harmonics included. InputError where the plan's transmitter cannot be set up.
struct ClearProposals {
    std::vector<model::receiver::ProposedFrequency> lines;
    model::receiver::PlacementRules rules;  // that they keep, with the bands of harmonics
};
ClearProposals propose_clear_frequencies(const plan::Plan& plan, double low_hz, double high_hz, int count);

/// What is kept clear of services and what is not, a sentence; empty for a plan that avoids none.
std::string what_is_kept_clear(const plan::Plan& plan);

}  // namespace ampturn::emission
