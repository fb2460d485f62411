#pragma once

#include <string>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/site/event_type.hpp"

namespace ampturn::sim::drill {

/// What happened, as people say it: "walk the keep-out ring", "the unit sending", "the whole table sent".
std::string plain_words(const site::EventType& type);
/// Any of them: "stop or emergency stop".
std::string plain_words(const AnyOf& any);

}  // namespace ampturn::sim::drill
