#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ampturn::sim::site {

/// What a scenario or an instructor can make go wrong: in the plant, in the unit's clock, or around the unit.
/// The core never hears of a fault; it measures what follows from it.
enum class Fault {
    open_loop_a,
    open_loop_b,
    shorted_loop_a,
    shorted_loop_b,
    loose_connector_a,
    loose_connector_b,
    wet_connector_a,
    wet_connector_b,
    weak_battery,
    cold_battery,
    reversed_leads,
    battery_lead_off,
    clock_drift,
    blocked_vents,
    receiver_not_ready,
    person_in_ring,
    thunder_near,
    plugs_exchanged,
    loop_a_reversed,
    loop_b_reversed,
    stale_table,
    capacitor_drifted,
    spare_battery_empty,
    mast_down,
    radio_dead,
    mains_hum,
};

inline constexpr double wet_contact_ohm = 0.6;

struct FaultInfo {
    Fault fault;
    const char* name;
    const char* label;   // for the instructor
    const char* effect;  // what it does to the plant or the site, in one line
};

const FaultInfo& info(Fault fault);
std::optional<Fault> fault_named(std::string_view name);
std::string all_fault_names();
inline constexpr int fault_count = static_cast<int>(Fault::mains_hum) + 1;

}  // namespace ampturn::sim::site
