#include "scheduler/plan/day_json.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/plan/version.hpp"

namespace ampturn::plan {

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
    if (!std::isfinite(value)) return nullptr;
    const std::string text = fmt::format("{:.9g}", value);
    double rounded = 0;
    std::from_chars(text.data(), text.data() + text.size(), rounded);
    return rounded == 0 ? 0.0 : rounded;  // no negative zero
}

Json of_place_in_list(int index) { return index < 0 ? Json(nullptr) : Json(index); }

template <class List, class Convert>
Json array(const List& list, Convert convert) {
    Json result = Json::array();
    for (const auto& item : list) result.push_back(convert(item));
    return result;
}

Json stand_json(const StandSummary& s) {
    return {{"name", s.name},
            {"x_m", number(s.x_m)},
            {"y_m", number(s.y_m)},
            {"latitude_deg", number(s.latitude_deg)},
            {"longitude_deg", number(s.longitude_deg)},
            {"loop_azimuth_a_deg", number(s.loop_azimuth_a_deg)},
            {"loop_azimuth_b_deg", number(s.loop_azimuth_b_deg)},
            {"keep_out_public_m", number(s.keep_out_public_m)},
            {"keep_out_occupational_m", number(s.keep_out_occupational_m)}};
}

Json station_json(const StationSummary& s) {
    return {{"name", s.name},
            {"stand_index", s.stand_index},
            {"x_m", number(s.x_m)},
            {"y_m", number(s.y_m)},
            {"offset_m", number(s.offset_m)},
            {"bearing_deg", number(s.bearing_deg)},
            {"required_count", s.required_count},
            {"passed_count", s.passed_count}};
}

Json row_json(const TableRow& r) {
    return {{"step_number", r.step_number},
            {"loop", std::string(1, r.loop)},
            {"turns", r.turns},
            {"capacitor_f", number(r.capacitor_f)},
            {"requested_hz", number(r.requested_hz)},
            {"frequency_hz", number(r.frequency_hz)},
            {"error_ppm", number(r.error_ppm)},
            {"divisor", r.divisor},
            {"cycles", r.cycles},
            {"dwell_s", number(r.dwell_s)},
            {"target_current_a_peak", number(r.target_current_a_peak)},
            {"mains_clash_order", r.mains_clash_order}};
}

Json step_json(const StepOutcome& s) {
    return {{"step_number", s.step_number},
            {"start_s", number(s.start_s)},
            {"dwell_s", number(s.dwell_s)},
            {"current_a_peak", number(s.current_a_peak)},
            {"current_a_rms", number(s.current_a_rms)},
            {"moment_a_m2_peak", number(s.moment_a_m2_peak)},
            {"energy_wh", number(s.energy_wh)},
            {"bus_v", number(s.bus_v)},
            {"battery_lowest_v", number(s.battery_lowest_v)},
            {"winding_c", number(s.winding_c)},
            {"electronics_c", number(s.electronics_c)},
            {"limited_by", s.limited_by},
            {"complete", s.complete}};
}

Json sweep_json(const SweepOutcome& s) {
    return {{"station_index", of_place_in_list(s.station_index)},
            {"stand_index", of_place_in_list(s.stand_index)},
            {"sweep_number", s.sweep_number},
            {"start_s", number(s.start_s)},
            {"end_s", number(s.end_s)},
            {"complete", s.complete},
            {"stopped_by", s.stopped_by},
            {"energy_wh", number(s.energy_wh)},
            {"steps", array(s.steps, step_json)}};
}

Json entry_json(const TimelineEntry& e) {
    return {{"start_s", number(e.start_s)},
            {"end_s", number(e.end_s)},
            {"activity", e.activity},
            {"stand_index", of_place_in_list(e.stand_index)},
            {"station_index", of_place_in_list(e.station_index)},
            {"text", e.text}};
}

Json sample_json(const BatterySample& s) {
    return {{"time_s", number(s.time_s)},
            {"battery_number", s.battery_number},
            {"terminal_v", number(s.terminal_v)},
            {"current_a", number(s.current_a)},
            {"charge_available_fraction", number(s.charge_available_fraction)},
            {"charge_total_fraction", number(s.charge_total_fraction)},
            {"temperature_c", number(s.temperature_c)}};
}

Json use_json(const BatteryUse& u) {
    return {{"battery_number", u.battery_number},
            {"connected_s", number(u.connected_s)},
            {"disconnected_s", number(u.disconnected_s)},
            {"delivered_ah", number(u.delivered_ah)},
            {"delivered_wh", number(u.delivered_wh)},
            {"lowest_v", number(u.lowest_v)},
            {"lowest_v_time_s", number(u.lowest_v_time_s)},
            {"left_fraction", number(u.left_fraction)},
            {"reached_cut_off", u.reached_cut_off},
            {"cut_off_s", u.reached_cut_off ? number(u.cut_off_s) : Json(nullptr)}};
}

Json snr_json(const ChannelSnr& s) {
    return {{"ex", number(s.ex)},
            {"ey", number(s.ey)},
            {"hx", number(s.hx)},
            {"hy", number(s.hy)},
            {"hz", number(s.hz)}};
}

Json judged_json(const StationFrequency& j) {
    return {{"station_index", j.station_index},
            {"frequency_index", j.frequency_index},
            {"frequency_hz", number(j.frequency_hz)},
            {"verdict", word_of(j.verdict)},
            {"reason", j.reason},
            {"required", j.required},
            {"offset_over_skin_depth", number(j.offset_over_skin_depth)},
            {"dwell_a_s", number(j.dwell_a_s)},
            {"dwell_b_s", number(j.dwell_b_s)},
            {"moment_a_a_m2_peak", number(j.moment_a_a_m2)},
            {"moment_b_a_m2_peak", number(j.moment_b_a_m2)},
            {"snr_a_power_ratio", snr_json(j.snr_a)},
            {"snr_b_power_ratio", snr_json(j.snr_b)},
            {"plane_resistivity_ohm_m", number(j.plane_resistivity_ohm_m)},
            {"plane_phase_deg", number(j.plane_phase_deg)},
            {"resistivity_xy_ohm_m", number(j.resistivity_xy_ohm_m)},
            {"phase_xy_deg", number(j.phase_xy_deg)},
            {"resistivity_yx_ohm_m", number(j.resistivity_yx_ohm_m)},
            {"phase_yx_deg", number(j.phase_yx_deg)},
            {"resistivity_sd_xy_percent", number(j.resistivity_sd_xy_percent)},
            {"phase_sd_xy_deg", number(j.phase_sd_xy_deg)},
            {"resistivity_sd_yx_percent", number(j.resistivity_sd_yx_percent)},
            {"phase_sd_yx_deg", number(j.phase_sd_yx_deg)},
            {"natural_signal_sd_percent", number(j.natural_signal_sd_percent)},
            {"bias_xy_percent", number(j.bias_xy_percent)},
            {"bias_xy_deg", number(j.bias_xy_deg)},
            {"bias_yx_percent", number(j.bias_yx_percent)},
            {"bias_yx_deg", number(j.bias_yx_deg)},
            {"h_condition_number", number(j.h_condition_number)}};
}

}  // namespace

Json day_json(const DayResult& day) {
    return {{"schema", "ampturn.day"},
            {"schema_version", 1},
            {"version", std::string(version())},
            {"git_hash", std::string(git_hash())},
            {"plan_path", day.plan_path},
            {"plan_crc32", day.plan_crc32},
            {"survey_name", day.survey_name},
            {"survey_note", day.survey_note},
            {"invented", day.invented},
            {"date", day.date},
            {"utc_offset_h", number(day.utc_offset_h)},
            {"completed", day.completed},
            {"end_s", number(day.end_s)},
            {"required_count", day.required_count},
            {"passed_count", day.passed_count},
            {"energy_wh", number(day.energy_wh)},
            {"batteries_carried", day.batteries_carried},
            {"batteries_needed", day.batteries_needed},
            {"batteries_needed_why", day.batteries_needed_why},
            {"battery_cut_off_v", number(day.battery_cut_off_v)},
            {"target_resistivity_percent", number(day.target_resistivity_percent)},
            {"target_phase_deg", number(day.target_phase_deg)},
            {"tolerance_bias_percent", number(day.tolerance_bias_percent)},
            {"tolerance_bias_deg", number(day.tolerance_bias_deg)},
            {"findings", day.findings},
            {"cautions", day.cautions},
            {"stands", array(day.stands, stand_json)},
            {"stations", array(day.stations, station_json)},
            {"table_crc32", day.table_crc32},
            {"table_duration_s", number(day.table_duration_s)},
            {"table", array(day.table, row_json)},
            {"frequencies_hz", array(day.frequencies_hz, number)},
            {"timeline", array(day.timeline, entry_json)},
            {"batteries", array(day.batteries, use_json)},
            {"judged", array(day.judged, judged_json)},
            {"sweeps", array(day.sweeps, sweep_json)},
            {"battery_trace", array(day.battery_trace, sample_json)}};
}

std::string day_json_text(const DayResult& day) {
    return day_json(day).dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace ampturn::plan
