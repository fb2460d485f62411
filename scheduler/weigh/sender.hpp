#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/weigh/choices.hpp"
#include "scheduler/weigh/load.hpp"

namespace ampturn::weigh {

/// One sender without its capacitors: an index into each list of choices, -1 the plan's own.
struct Sender {
    int winding = -1, wire = -1, size = -1, bus = -1, battery = -1;
    bool operator==(const Sender&) const = default;
};
/// How many combinations there are.
std::size_t sender_count(const Choices& choices);
/// Every combination, the battery varying fastest.
std::vector<Sender> senders_of(const Choices& choices);

/// The plan with this sender in it. A loop that grows or shrinks keeps its lowest part where it is above the ground; turns
/// stand at least an insulated diameter apart; the winding's way to the air, K/W, goes inversely with the surface of the bundle
/// (common practice, no source). Of a battery from the choices, what is not given is by chemistry.
plan::Plan plan_of(const plan::Plan& plan, const Choices& choices, const Sender& sender);

/// The plan's own step at each of the frequencies looked at, loop A, then B.
std::vector<plan::Step> steps_of(const plan::Plan& plan, const Choices& choices);

BatteryChoice battery_of(const plan::Plan& plan, const Choices& choices, const Sender& sender);
WireChoice wire_of(const plan::Plan& plan, const Choices& choices, const Sender& sender);
/// Wire of both loops with their leads, batteries, pieces; capacitors are not among them. `changed` is plan_of() it.
std::vector<CarriedPiece> pieces_of(const plan::Plan& changed, const Choices& choices, const Sender& sender);

/// Each single choice put into the plan and checked as a plan is: InputError at the first that will not do.
void check_choices(const plan::Plan& plan, const Choices& choices);
/// The plan as its own text says it, with every rule of plan files checked.
plan::Plan read_again(const plan::Plan& plan);

}  // namespace ampturn::weigh
