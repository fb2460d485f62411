#include "firmware-sim/drill/recovery.hpp"

#include <array>

namespace ampturn::sim::drill {
namespace {

using Text = std::string_view;

constexpr std::array open_loop{
    Text("Leave the trip latched: the power stage is off, and it must stay off while hands are on the loop."),
    Text("Battery negative off first, then positive."),
    Text("Unplug the loop; measure continuity while moving the plug: plug or cable?"),
    Text("Plug: remake and tape. Cable: lay the spare. Measure again."),
    Text("Plug in the loops, battery positive, then negative."),
    Text("Acknowledge, wait for the self-check, walk the ring, call the receiver crew, then a fresh start."),
};
constexpr std::array shorted_loop{
    Text("Leave the trip latched and take the battery off, negative first."),
    Text("Unplug the loop; measure its resistance against the last sheet."),
    Text("Look where the cable can be crushed: pegs, wheels, stones. Lay the spare."),
    Text("Measure again, plug in, positive, negative, acknowledge, and start afresh."),
};
constexpr std::array loose_connector{
    Text("Do not touch the plug while it sends: stop first. A plug pulled under current arcs."),
    Text("Battery negative off, then positive; unplug both loops."),
    Text("Remake and tape the plugs, take the strain off the cable."),
    Text("Measure while moving the plug; plug in; positive, negative; acknowledge; repeat the lost lines."),
};
constexpr std::array wet_connector{
    Text("Measure insulation before every start: below 1 Mohm do not send."),
    Text("Stop, battery off (negative first), unplug both loops."),
    Text("Dry and cap the plugs, raise them off the ground."),
    Text("Measure again, then connect in the usual order."),
};
constexpr std::array weak_battery{
    Text("Note the volts under load and the time; the sheet needs them."),
    Text("Battery off, negative first; measure at rest and under the test lamp."),
    Text("Change the battery; positive first, negative last."),
    Text("Acknowledge, walk the ring, call the receiver crew, repeat the lost lines."),
};
constexpr std::array cold_battery{
    Text("A cold battery shows good volts at rest and falls under load: measure and feel the case."),
    Text("Change to the spare that was kept warm, or insulate; "
         "never charge LiFePO4 below 0 C (common practice)."),
    Text("Connect positive first, negative last, and start afresh."),
};
constexpr std::array reversed_leads{
    Text("Measure polarity before connecting: it costs five seconds."),
    Text("If the unit trips on reversed supply: negative off first, then positive."),
    Text("Swap the clips, measure again, connect positive, then negative, acknowledge."),
};
constexpr std::array battery_lead_off{
    Text("The unit loses its supply and does not start by itself when it returns."),
    Text("Take both leads off (negative first), clean and tighten, positive on, negative on."),
    Text("Wait for the self-check and start afresh: ring, receiver crew, key, go."),
};
constexpr std::array clock_drift{
    Text("A drifting clock turns phases against frequency: "
         "what was sent since lock was lost is suspect; write the time down."),
    Text("Stop. Free the antenna's view of the sky, wait for lock, look at the status again."),
    Text("Acknowledge the clock fault, repeat the lines since the last good lock."),
};
constexpr std::array blocked_vents{
    Text("Let the unit stop by itself or stop it; a hot case burns: do not touch."),
    Text("Free the vents, shade the unit."),
    Text("Wait until it is below the restart temperature: the unit refuses to be armed before."),
    Text("Acknowledge, ring, receiver crew, start afresh, perhaps with longer gaps."),
};
constexpr std::array receiver_not_ready{
    Text("A sweep nobody records is battery thrown away: "
         "wait for the crew to read back table name and start."),
    Text("Leave the unit in standby, not armed, while you wait."),
};
constexpr std::array person_in_ring{
    Text("Stop at once; emergency stop if stop does not answer."),
    Text("Turn the key to SAFE, then go and ask them to leave."),
    Text("Walk the ring again before the next start; write the interrupted line down."),
};
constexpr std::array thunder_near{
    Text("Flash to bang 30 s or less: stop, disarm."),
    Text("Disconnect the battery, negative first, if there is time: a loop is an antenna."),
    Text("Take shelter; stay 30 minutes after the last thunder (30-30 rule of weather services)."),
    Text("Any thunder heard is a risk: the rule does not protect from the first stroke."),
};

constexpr std::array exchanged_plugs{
    Text(
        "The unit cannot tell: each loop carries its current. The receiver crew sees the field along the other loop."),
    Text("Stop, battery off (negative first), unplug both loops."),
    Text("Plug A to terminal A, B to B, by the tags; look again."),
    Text("Everything sent since the plugs were set is suspect: write the lines down and repeat them."),
};
constexpr std::array reversed_loop{
    Text(
        "The current is right and the field stands on its head: only the arrow on the leads, or the receiver crew, "
        "shows it."),
    Text("Stop, battery off (negative first), unplug both loops."),
    Text("Set the leads to their arrow; look again."),
    Text("Write down which lines went out reversed: their phases are 180 degrees off."),
};
constexpr std::array stale_table{
    Text("Read the checksum back before every day's first start and hold it against the sheet."),
    Text("Load the table of the sheet, read it back again; only then arm."),
    Text("A table that was sent by mistake is written down with its checksum: it may still be of use."),
};
constexpr std::array drifted_capacitor{
    Text("Current falls short on tuned lines only: think of the resonance."),
    Text(
        "Stop, battery off, unplug both loops, wait until the capacitors have bled down; measure before touching."),
    Text("Fit the spares, measure them too."),
    Text("Note which lines were weak; repeat them."),
};
constexpr std::array empty_spare{
    Text("Measure every battery before it is connected, also the one that should be full."),
    Text("Low at rest: put it aside, marked, and take another."),
    Text("Charge it tonight; find out why it was not."),
};
constexpr std::array fallen_mast{
    Text("Stop at once, key to SAFE: live wire lies where people walk."),
    Text("Battery off, negative first; unplug both loops before anybody goes near."),
    Text("Two people raise a mast, never under a power line, and not in a wind above the mast's limit."),
    Text(
        "Look at guys and pegs of the others too; walk the ring; the line that was on the air is to be repeated."),
};
constexpr std::array dead_radio{
    Text("No answer is no yes: without the crew's word there is no start."),
    Text("Fresh battery, antenna, higher ground; agree on a time to call and a hand sign beforehand."),
    Text("Call again and have table and start read back."),
};
constexpr std::array mains_hum{
    Text("Clipped records cannot be mended later: do not send for them."),
    Text("Ask the crew to move the lines off the power line, or to turn down the gain where that is enough."),
    Text("Call again: recording, not clipped? Then start."),
};

}  // namespace

std::span<const std::string_view> recovery_steps(site::Fault fault) {
    switch (fault) {
        case site::Fault::open_loop_a:
        case site::Fault::open_loop_b:
            return open_loop;
        case site::Fault::shorted_loop_a:
        case site::Fault::shorted_loop_b:
            return shorted_loop;
        case site::Fault::loose_connector_a:
        case site::Fault::loose_connector_b:
            return loose_connector;
        case site::Fault::wet_connector_a:
        case site::Fault::wet_connector_b:
            return wet_connector;
        case site::Fault::weak_battery:
            return weak_battery;
        case site::Fault::cold_battery:
            return cold_battery;
        case site::Fault::reversed_leads:
            return reversed_leads;
        case site::Fault::battery_lead_off:
            return battery_lead_off;
        case site::Fault::clock_drift:
            return clock_drift;
        case site::Fault::blocked_vents:
            return blocked_vents;
        case site::Fault::receiver_not_ready:
            return receiver_not_ready;
        case site::Fault::person_in_ring:
            return person_in_ring;
        case site::Fault::thunder_near:
            return thunder_near;
        case site::Fault::plugs_exchanged:
            return exchanged_plugs;
        case site::Fault::loop_a_reversed:
        case site::Fault::loop_b_reversed:
            return reversed_loop;
        case site::Fault::stale_table:
            return stale_table;
        case site::Fault::capacitor_drifted:
            return drifted_capacitor;
        case site::Fault::spare_battery_empty:
            return empty_spare;
        case site::Fault::mast_down:
            return fallen_mast;
        case site::Fault::radio_dead:
            return dead_radio;
        case site::Fault::mains_hum:
            return mains_hum;
    }
    return {};
}

}  // namespace ampturn::sim::drill
