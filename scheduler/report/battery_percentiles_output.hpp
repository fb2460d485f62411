#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "scheduler/day/battery_percentiles.hpp"

namespace ampturn::report {

/// As it stands in monte_carlo.json and in the report's data; NaN becomes null.
nlohmann::ordered_json battery_percentiles_json(const day::BatteryPercentiles& percentiles);

/// battery_percentiles.csv: the percentiles, a time a row.
std::string battery_percentiles_csv(const day::BatteryPercentiles& percentiles);

}  // namespace ampturn::report
