#pragma once

#include <string>
#include <vector>

#include "scheduler/run/unit.hpp"

namespace ampturn::sim {

/// A transmitter with its table, ready to be put on a site.
struct UnitKit {
    std::string name;
    run::UnitSetup setup;
    core::Table table;
    double air_c = 15;
    double battery_state_of_charge = 1;
    double keep_out_m = 0;  // shown on the panel; the largest of the sweep
    std::string keep_out_basis;
    std::vector<int> turns_a, turns_b;  // in use at tap 1, 2, ...
    std::vector<double> loop_area_m2{0, 0};
    std::vector<double> loop_azimuth_deg{0, 90};
    std::vector<double> loop_height_m{0, 0};
    std::vector<double> loop_tilt_deg{0, 0};
    std::string survey, operator_name, stand;
    double declination_deg = 0;
    std::string position;  // of the mast foot, as the plan gives it
};

/// The built-in invented bench set: two upright 4 m squares, 24 V AGM battery, three frequencies on each loop.
UnitKit bench_kit(std::uint64_t seed);

}  // namespace ampturn::sim
