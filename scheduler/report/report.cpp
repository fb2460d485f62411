#include "scheduler/report/report.hpp"
#include "scheduler/base/json.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <string>

#include "embedded/report.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/report/report_sections.hpp"

namespace ampturn::report {
namespace {

using Json = nlohmann::ordered_json;

/// A number to the five digits a chart can show, so that a day of many stations is no large page; the frequencies
/// are few and stay whole.
nlohmann::ordered_json for_a_chart(const nlohmann::ordered_json& value) {
    if (value.is_object()) {
        nlohmann::ordered_json out;
        for (const auto& [key, part] : value.items()) out[key] = for_a_chart(part);
        return out;
    }
    return value.is_number_float()
               ? nlohmann::ordered_json(std::stod(fmt::format("{:.5g}", value.get<double>())))
               : value;
}

/// What the charts draw, as JSON in one line: the parts of day_json they use, the readings and the battery trace
/// column by column; the battery over the runs where there are any.
std::string charts_data(const day::DayResult& day, const day::MonteCarloSummary* runs) {
    const Json all = day_json(day);
    Json data;
    for (const char* key :
         {"battery_cut_off_v", "target_resistivity_percent", "target_phase_deg", "tolerance_bias_percent",
          "tolerance_bias_deg", "sites", "stations", "frequencies_hz", "timeline"})
        data[key] = all.at(key);
    Json& judged = data["judged"];
    for (const char* key : {"station_index",
                            "frequency_index",
                            "frequency_hz",
                            "verdict",
                            "offset_over_skin_depth",
                            "snr_a_power_ratio",
                            "snr_b_power_ratio",
                            "plane_resistivity_ohm_m",
                            "plane_phase_deg",
                            "resistivity_xy_ohm_m",
                            "phase_xy_deg",
                            "resistivity_yx_ohm_m",
                            "phase_yx_deg",
                            "resistivity_sd_xy_percent",
                            "phase_sd_xy_deg",
                            "resistivity_sd_yx_percent",
                            "phase_sd_yx_deg",
                            "bias_xy_percent",
                            "bias_xy_deg",
                            "bias_yx_percent",
                            "bias_yx_deg"}) {
        Json& column = judged[key] = Json::array();
        for (const Json& reading : all.at("judged")) column.push_back(for_a_chart(reading.at(key)));
    }
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
