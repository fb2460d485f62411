#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "scheduler/reach/reach.hpp"

namespace ampturn::reach {

/// Pieces of reach.json that rows over many grounds have too. Numbers to nine digits, null for what is infinite.
using ReachJson = nlohmann::ordered_json;

const char* name_of(plan::NaturalNoise level);
ReachJson intervals_json(const std::vector<OffsetInterval>& intervals);
ReachJson cell_json(const ReachCell& cell);
/// What a survey has whatever the ground: site, offsets, hour, table, sectors.
ReachJson survey_json(const Reach& reach);
/// What of a frequency the ground does not change: dwells and moments.
ReachJson sent_json(const ReachFrequency& frequency);
/// What the ground does change, but for the windows.
ReachJson ground_json(const ReachFrequency& frequency);

}  // namespace ampturn::reach
