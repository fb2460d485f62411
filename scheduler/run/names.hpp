#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "scheduler/core/sequencer.hpp"

namespace ampturn::run {

/// The names of the core's enumerators: one word per thing, in logs, tables, messages and on the panel.
std::string_view name_of(core::State state);
std::string_view name_of(core::Event event);
std::string_view name_of(core::Trip trip);
std::string_view name_of(core::Control control);
std::string_view name_of(core::Reply reply);
std::string_view name_of(core::Phase phase);
std::string_view name_of(core::Lamp lamp);
std::string_view name_of(core::Pattern pattern);
std::string_view name_of(core::Sounder sounder);
std::string_view name_of(core::Loop loop);
std::string_view name_of(core::Refusal refusal);
std::string_view name_of(core::RecordKind kind);

/// The enumerator that has a name, among the first `count`; nothing when none has it.
template <class Enum>
std::optional<Enum> value_named(std::string_view name, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        if (name == name_of(static_cast<Enum>(i))) return static_cast<Enum>(i);
    }
    return std::nullopt;
}

/// For people: what the reply to a control means and what to do.
std::string_view explain(core::Reply reply);
/// For people: a cause of a trip and what to look at first.
std::string_view explain(core::Trip trip);
/// For people: why a table was refused.
std::string_view explain(core::Refusal refusal);

}  // namespace ampturn::run
