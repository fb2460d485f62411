#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scheduler/run/unit.hpp"

namespace ampturn::sim::site {

/// A transmitter with its table, ready to be put on a site.
struct TransmitterSetup {
    std::string name;
    run::UnitSetup setup;
    core::Table table;
    double air_c = 15;
    double battery_state_of_charge = 1;
    double keep_out_m = 0;  // for the public, the largest of the sweep, with the plan's margin
    std::vector<std::string> cautions;
    std::string table_name, table_crc32;
    struct LoopSheet {  // what the log sheet says of a loop
        double area_m2 = 0, azimuth_deg = 0, height_m = 0, tilt_deg = 0, resistance_20c_ohm = 0;
        std::vector<int> turns;  // in use at tap 1, 2, ...
    };
    LoopSheet loops[2];
    std::string survey, operator_name, site, position;
    double declination_deg = 0;
};

/// The transmitter a plan describes, at its first site, with its first battery set. Throws plan::InputError
/// pointing at the plan. `path` names the plan in messages.
TransmitterSetup transmitter_setup_of(std::string_view plan_text, const std::string& path,
                                      std::uint64_t seed);

/// The plan of the built-in invented practice set.
std::string_view default_plan();
inline constexpr const char* default_plan_name = "(built-in practice set)";

}  // namespace ampturn::sim::site
