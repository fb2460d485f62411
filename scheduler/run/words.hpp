#pragma once

#include <string_view>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::run {

/// The words of the core's enumerators: one word per thing, in logs, tables, messages and on the panel.
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

/// For people: what the reply to a control means and what to do.
std::string_view explain(core::Reply reply);
/// For people: a cause of a trip and what to look at first.
std::string_view explain(core::Trip trip);
/// For people: why a table was refused.
std::string_view explain(core::Refusal refusal);

}  // namespace ampturn::run
