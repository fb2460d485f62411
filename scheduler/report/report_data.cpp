#include "scheduler/report/report_data.hpp"
#include "scheduler/base/json.hpp"

#include <nlohmann/json.hpp>

#include "scheduler/report/day_json.hpp"

namespace ampturn::report {

std::string report_data_text(const day::DayResult& day, const day::MonteCarloSummary* runs) {
    using Json = nlohmann::ordered_json;
    const Json all = day_json(day);
    Json data;
    for (const char* key :
         {"battery_cut_off_v", "target_resistivity_percent", "target_phase_deg", "tolerance_bias_percent",
          "tolerance_bias_deg", "sites", "stations", "frequencies_hz", "timeline", "judged"})
        data[key] = all.at(key);
    Json& trace = data["battery_trace"];
    for (const char* key :
         {"time_s", "battery_number", "terminal_v", "charge_available_fraction", "charge_total_fraction"}) {
        Json& column = trace[key] = Json::array();
        for (const Json& sample : all.at("battery_trace")) column.push_back(sample.at(key));
    }
    if (runs != nullptr) data["battery_percentiles"] = day::battery_percentiles_json(runs->battery);
    return base::json_text(data, -1);
}

}  // namespace ampturn::report
