#include "scheduler/report/report.hpp"
#include "scheduler/base/json.hpp"

#include <nlohmann/json.hpp>

#include "embedded/report.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/report/report_sections.hpp"

namespace ampturn::report {
namespace {

/// What the charts draw, as JSON in one line: the parts of day_json they use, and the battery trace column by
/// column; the battery over the runs where there are any.
std::string charts_data(const day::DayResult& day, const day::MonteCarloSummary* runs) {
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
    if (runs != nullptr) data["battery_percentiles"] = battery_percentiles_json(runs->battery);
    return base::json_text(data, -1);
}

}  // namespace

std::string report_html(const day::DayResult& day, const day::MonteCarloSummary* runs) {
    return page::html_page({.title = day.date.empty() ? day.survey_name : day.survey_name + ", " + day.date,
                            .body = report_body(day, runs),
                            .data_json = charts_data(day, runs),
                            .charts = embedded::report::day()});
}

}  // namespace ampturn::report
