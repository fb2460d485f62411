#pragma once

#include <string>
#include <vector>

#include "firmware-sim/site/event_type.hpp"

namespace ampturn::sim::drill {

/// Something that happened in a drill.
struct DrillEvent {
    double time_s = 0;  // after the start of the drill, virtual time
    site::EventType type;
    std::string who;   // panel#1, instructor#1, tcp#2; empty for the unit and the scenario
    std::string text;  // for people
};

using Timeline = std::vector<DrillEvent>;

}  // namespace ampturn::sim::drill
