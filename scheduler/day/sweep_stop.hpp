#pragma once

#include <string>
#include <variant>

#include "scheduler/core/trips.hpp"

namespace ampturn::day {

/// Why a sweep was not sent whole: one alternative a cause, with the numbers that belong to it.

struct BatterySpent {  // its own protection, or the unit's least voltage, took the supply away
    bool operator==(const BatterySpent&) const = default;
};
struct Tripped {
    core::Trip first;
    bool operator==(const Tripped&) const = default;
};
struct NoBatteryLeft {  // never begun: the last set is spent, or the plan allows no swap
    bool operator==(const NoBatteryLeft&) const = default;
};
struct NoTimeLeft {  // never begun
    double back_by_s;
    bool operator==(const NoTimeLeft&) const = default;
};
struct WouldNotArm {  // never begun: tripped, or too hot for hours
    bool operator==(const WouldNotArm&) const = default;
};
using SweepStop = std::variant<BatterySpent, Tripped, NoBatteryLeft, NoTimeLeft, WouldNotArm>;

/// Another charged battery would have helped.
bool for_want_of_battery(const SweepStop& stop);

/// For people: "battery spent", "under_voltage", "no time left: would not be back by 17:00".
std::string text_of(const SweepStop& stop);

}  // namespace ampturn::day
