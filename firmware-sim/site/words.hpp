#pragma once

#include <string_view>

#include "scheduler/run/words.hpp"

namespace ampturn::sim {

using run::explain;
using run::word_of;

bool is_state(std::string_view word);
bool is_trip(std::string_view word);
/// What a check of the operator can show: "area_clear", "loop_a_open", ...
bool is_finding(std::string_view word);
/// What could have hurt someone: "touched_energised_loop", ...
bool is_danger(std::string_view word);

}  // namespace ampturn::sim
