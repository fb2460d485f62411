#include "scheduler/day/sweep_stop.hpp"

#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::day {
namespace {

struct WantOfBattery {
    bool operator()(const BatterySpent&) const { return true; }
    bool operator()(const Tripped& tripped) const { return tripped.first == core::Trip::under_voltage; }
    bool operator()(const NoBatteryLeft&) const { return true; }
    bool operator()(const NoTimeLeft&) const { return false; }
    bool operator()(const WouldNotArm&) const { return false; }
};

struct Text {
    std::string operator()(const BatterySpent&) const { return "battery spent"; }
    std::string operator()(const Tripped& tripped) const { return std::string(run::name_of(tripped.first)); }
    std::string operator()(const NoBatteryLeft&) const { return "no charged battery left"; }
    std::string operator()(const NoTimeLeft& stop) const {
        return fmt::format("no time left: would not be back by {}", base::clock_minutes_text(stop.back_by_s));
    }
    std::string operator()(const WouldNotArm&) const { return "the unit would not arm"; }
};

}  // namespace

bool for_want_of_battery(const SweepStop& stop) { return std::visit(WantOfBattery{}, stop); }

std::string text_of(const SweepStop& stop) { return std::visit(Text{}, stop); }

}  // namespace ampturn::day
