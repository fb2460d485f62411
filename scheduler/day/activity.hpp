#pragma once

#include <string_view>

namespace ampturn::day {

/// What a crew or the unit does over a stretch of the day.
enum class Activity { briefing, travel, set_up, sweep, swap, rest, pack, stop };

/// One word, as in files: "set_up".
std::string_view name_of(Activity activity);

}  // namespace ampturn::day
