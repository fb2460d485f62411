#include "scheduler/day/activity.hpp"

namespace ampturn::day {
namespace {

struct Name {
    std::string_view operator()(const Briefing&) const { return "briefing"; }
    std::string_view operator()(const Journey&) const { return "travel"; }
    std::string_view operator()(const SetUp&) const { return "set_up"; }
    std::string_view operator()(const PackUp&) const { return "pack"; }
    std::string_view operator()(const SweepAttempt&) const { return "sweep"; }
    std::string_view operator()(const BatterySwap&) const { return "swap"; }
    std::string_view operator()(const Cooling&) const { return "rest"; }
    std::string_view operator()(const TransmitterStops&) const { return "stop"; }
};

}  // namespace

std::string_view name_of(const Activity& activity) { return std::visit(Name{}, activity); }

}  // namespace ampturn::day
