#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "scheduler/day/sweep_stop.hpp"

namespace ampturn::day {

/// What a crew or the unit does over a stretch of the day: one alternative a kind, with what belongs to it.

enum class Crew { transmitter, receiver };

struct Briefing {};  // safety talk, weather, radio
struct Journey {
    Crew crew;
    std::string from, to;    // names of sites and stations, or "base"
    int receiver_index = 0;  // which of the receiver crews
};
struct SetUp {
    Crew crew;
    int receiver_index = 0;
};
struct PackUp {
    Crew crew;
    int receiver_index = 0;
};
struct SweepAttempt {
    int number;                           // from 1, of the stations that listen
    std::optional<SweepStop> stopped_by;  // empty: sent whole
    std::vector<int> listeners;           // indices of stations
};
struct BatterySwap {
    enum class Cause { low_at_site, low, spent };
    int set_number;  // of the set that comes, from 1
    Cause cause;
    double below_fraction;  // of the charge; what counts as low
};
struct Cooling {};           // the unit waits for its restart limit
struct TransmitterStops {};  // no charged battery is left
using Activity =
    std::variant<Briefing, Journey, SetUp, PackUp, SweepAttempt, BatterySwap, Cooling, TransmitterStops>;

/// One word, as in files: "set_up".
std::string_view name_of(const Activity& activity);

}  // namespace ampturn::day
