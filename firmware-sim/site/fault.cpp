#include "firmware-sim/site/fault.hpp"

#include <array>
#include <cstddef>

namespace ampturn::sim::site {
namespace {

constexpr std::array infos{
    FaultInfo{Fault::open_loop_a, "open_loop_a", "Loop A: broken cable", "loop A carries no current"},
    FaultInfo{Fault::open_loop_b, "open_loop_b", "Loop B: broken cable", "loop B carries no current"},
    FaultInfo{Fault::shorted_loop_a, "shorted_loop_a", "Loop A: crushed, shorted",
              "all turns of loop A shorted"},
    FaultInfo{Fault::shorted_loop_b, "shorted_loop_b", "Loop B: crushed, shorted",
              "all turns of loop B shorted"},
    FaultInfo{Fault::loose_connector_a, "loose_connector_a", "Plug A: loose, comes and goes",
              "loop A opens for 1.5 s in every 7 s"},
    FaultInfo{Fault::loose_connector_b, "loose_connector_b", "Plug B: loose, comes and goes",
              "loop B opens for 1.5 s in every 7 s"},
    FaultInfo{Fault::wet_connector_a, "wet_connector_a", "Plug A: wet, leaking",
              "0.08 Mohm insulation, 0.6 ohm contact, 8 W leakage"},
    FaultInfo{Fault::wet_connector_b, "wet_connector_b", "Plug B: wet, leaking",
              "0.08 Mohm insulation, 0.6 ohm contact, 8 W leakage"},
    FaultInfo{Fault::weak_battery, "weak_battery", "Battery: old and weak",
              "0.2 % of the capacity, 30 times the resistance"},
    FaultInfo{Fault::cold_battery, "cold_battery", "Battery: cold soaked",
              "25 K below the air, 8 times the resistance"},
    FaultInfo{Fault::reversed_leads, "reversed_leads", "Battery: lead clips swapped",
              "positive lead on the negative clip"},
    FaultInfo{Fault::battery_lead_off, "battery_lead_off", "Battery: a clip shakes off", "supply lost"},
    FaultInfo{Fault::clock_drift, "clock_drift", "Clock: lock lost, drifting",
              "reference 80 ppm off, lock flag gone"},
    FaultInfo{Fault::blocked_vents, "blocked_vents", "Unit: vents blocked, in the sun",
              "electronics at 78 C, cooled twenty times worse"},
    FaultInfo{Fault::receiver_not_ready, "receiver_not_ready", "Receiver crew: not ready", "answers: wait"},
    FaultInfo{Fault::person_in_ring, "person_in_ring", "Somebody walks into the ring",
              "a person inside the keep-out"},
    FaultInfo{Fault::thunder_near, "thunder_near", "Thunder: flash to bang 20 s", "storm about 7 km away"},
    FaultInfo{Fault::plugs_exchanged, "plugs_exchanged", "Plugs: A and B exchanged",
              "cable A on terminal B and the other way"},
    FaultInfo{Fault::loop_a_reversed, "loop_a_reversed", "Loop A: its two leads exchanged",
              "the field of A turned round, the current as ever"},
    FaultInfo{Fault::loop_b_reversed, "loop_b_reversed", "Loop B: its two leads exchanged",
              "the field of B turned round, the current as ever"},
    FaultInfo{Fault::stale_table, "stale_table", "Table: yesterday's in the unit",
              "every dwell half as long, another checksum"},
    FaultInfo{Fault::capacitor_drifted, "capacitor_drifted", "Series capacitors: drifted",
              "30 % above their values, tuned lines off resonance"},
    FaultInfo{Fault::spare_battery_empty, "spare_battery_empty", "Spare battery: nobody charged it",
              "the next battery put in has 8 % of its charge"},
    FaultInfo{Fault::mast_down, "mast_down", "Mast: down in the wind",
              "loop A on the ground with a third of its area"},
    FaultInfo{Fault::radio_dead, "radio_dead", "Radio: dead", "nobody hears, nobody answers"},
    FaultInfo{Fault::mains_hum, "mains_hum", "Receiver: a power line close by",
              "the records clip on the mains and its harmonics"},
};

constexpr bool in_order() {
    for (std::size_t i = 0; i < infos.size(); ++i) {
        if (infos[i].fault != static_cast<Fault>(i)) return false;
    }
    return infos.size() == static_cast<std::size_t>(fault_count);
}
static_assert(in_order());

}  // namespace

const FaultInfo& info(Fault fault) { return infos[static_cast<std::size_t>(fault)]; }

std::optional<Fault> fault_named(std::string_view name) {
    for (const FaultInfo& one : infos) {
        if (name == one.name) return one.fault;
    }
    return std::nullopt;
}

std::string all_fault_names() {
    std::string names;
    for (const FaultInfo& one : infos) names += std::string(names.empty() ? "" : ", ") + one.name;
    return names;
}

}  // namespace ampturn::sim::site
