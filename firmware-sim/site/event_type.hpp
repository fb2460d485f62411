#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "firmware-sim/site/action.hpp"
#include "firmware-sim/site/fault.hpp"
#include "scheduler/core/sequencer.hpp"

namespace ampturn::sim::site {

/// What a check by the operator shows.
enum class Finding {
    battery_good,
    battery_low,
    battery_reversed,
    loop_a_good,
    loop_a_open,
    loop_a_shorted,
    loop_a_leaking,
    loop_b_good,
    loop_b_open,
    loop_b_shorted,
    loop_b_leaking,
    area_clear,
    area_not_clear,
    receiver_ready,
    receiver_not_ready,
    clock_locked,
    clock_not_locked,
    plugs_right,
    plugs_wrong,
    capacitor_good,
    capacitor_drifted,
    table_right,
    table_stale,
    masts_standing,
    mast_down,
    radio_silence,
    record_good,
    record_empty,
    record_wrong_loop,
    record_reversed,
    record_weak,
    record_clipped,
};

/// What could have hurt someone.
enum class Danger {
    touched_energised_loop,
    touched_while_armed,
    touched_charged_capacitor,
    broke_supply_under_load,
    negative_first,
    positive_off_first,
    sent_with_person_in_ring,
    sent_in_thunder,
    person_in_ring_while_energised,
    thunder_while_energised,
    sent_with_mast_down,
    mast_down_while_energised,
};
/// Told again and again: the trainee's answer to it is what counts.
bool lasts(Danger danger);

/// What happened at the site or in a drill, without its time, who did it and what people are told of it.
struct EventType {
    enum class Kind {
        did,            ///< the operator did it (Action)
        tried,          ///< it was refused or impossible (Action)
        found,          ///< what a check showed (Finding)
        danger,         ///< someone could have been hurt (Danger)
        state_entered,  ///< by the unit (core::State)
        tripped,        ///< a trip was latched (core::Trip)
        fault_set,      ///< by the scenario or an instructor (Fault)
        fault_cleared,  ///< (Fault)
        table_done,     ///< the whole table was sent
        story,          ///< a line of the scenario for the trainee
        remark,         ///< by an instructor
        radio,          ///< said by one seat to the other (Seat)
    };
    using Detail =
        std::variant<std::monostate, Action, Finding, Danger, core::State, core::Trip, Fault, Seat>;

    Kind kind = Kind::remark;
    Detail detail;

    bool operator==(const EventType&) const = default;

    static EventType did(Action action) { return {Kind::did, action}; }
    static EventType tried(Action action) { return {Kind::tried, action}; }
    static EventType found(Finding finding) { return {Kind::found, finding}; }
    static EventType danger(Danger danger) { return {Kind::danger, danger}; }
    static EventType state_entered(core::State state) { return {Kind::state_entered, state}; }
    static EventType tripped(core::Trip trip) { return {Kind::tripped, trip}; }
    static EventType fault_set(Fault fault) { return {Kind::fault_set, fault}; }
    static EventType fault_cleared(Fault fault) { return {Kind::fault_cleared, fault}; }
    static EventType table_done() { return {Kind::table_done, {}}; }
    static EventType story() { return {Kind::story, {}}; }
    static EventType remark() { return {Kind::remark, {}}; }
    static EventType radio(Seat from) { return {Kind::radio, from}; }
};

/// The name in drill files, session logs and panel messages, of the form CLASS:WORD:
///     did:ACTION   tried:ACTION   found:FINDING   danger:DANGER   state:STATE   trip:CAUSE
///     fault:FAULT   cleared:FAULT   table:done   say:   remark:   radio:SEAT
std::string name_of(const EventType& type);
/// The type a name stands for; nothing when there is none of that name.
std::optional<EventType> event_type_named(std::string_view name);
/// The word behind the colon.
std::string_view detail_name_of(const EventType& type);

}  // namespace ampturn::sim::site
