#pragma once

#include <optional>
#include <string_view>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::sim {

/// The words of the core's enumerators, as in the design, the logs, the panel and the drills.
std::string_view word_of(core::State state);
std::string_view word_of(core::Event event);
std::string_view word_of(core::Trip trip);
std::string_view word_of(core::Control control);
std::string_view word_of(core::Reply reply);
std::string_view word_of(core::Phase phase);
std::string_view word_of(core::Lamp lamp);
std::string_view word_of(core::Pattern pattern);
std::string_view word_of(core::Sounder sounder);
std::string_view word_of(core::Loop loop);
std::string_view word_of(core::Refusal refusal);

bool is_state(std::string_view word);
bool is_trip(std::string_view word);

/// What a check of the operator can show: "area_clear", "loop_a_open", ...
bool is_finding(std::string_view word);
/// What could have hurt someone: "touched_energised_loop", ...
bool is_danger(std::string_view word);

/// For people: what the reply to a control means and what to do.
std::string_view explain(core::Reply reply);
/// For people: a cause of a trip and what to look at first.
std::string_view explain(core::Trip trip);
/// For people: why a table was refused.
std::string_view explain(core::Refusal refusal);

}  // namespace ampturn::sim
