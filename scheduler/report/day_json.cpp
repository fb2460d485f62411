#include "scheduler/report/day_json.hpp"

#include <nlohmann/json.hpp>

#include "scheduler/base/json.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"

namespace ampturn::report {

namespace {

using Json = nlohmann::ordered_json;

Json of_place_in_list(int index) { return index < 0 ? Json(nullptr) : Json(index); }

template <class List, class Convert>
Json array(const List& list, Convert convert) {
    Json result = Json::array();
    for (const auto& item : list) result.push_back(convert(item));
    return result;
}

Json site_json(const day::SiteSummary& s) {
    return {{"name", s.name},
            {"x_m", base::json_number(s.x_m)},
            {"y_m", base::json_number(s.y_m)},
            {"latitude_deg", base::json_number(s.latitude_deg)},
            {"longitude_deg", base::json_number(s.longitude_deg)},
            {"loop_azimuth_a_deg", base::json_number(s.loop_azimuth_a_deg)},
            {"loop_azimuth_b_deg", base::json_number(s.loop_azimuth_b_deg)},
            {"keep_out_public_m", base::json_number(s.keep_out_public_m)},
            {"keep_out_occupational_m", base::json_number(s.keep_out_occupational_m)},
            {"keep_out_public_decided_by", setup::name_of(s.public_decided_by)},
            {"keep_out_occupational_decided_by", setup::name_of(s.occupational_decided_by)}};
}

Json station_json(const day::StationSummary& s) {
    return {{"name", s.name},
            {"site_index", s.site_index},
            {"x_m", base::json_number(s.x_m)},
            {"y_m", base::json_number(s.y_m)},
            {"offset_m", base::json_number(s.offset_m)},
            {"bearing_deg", base::json_number(s.bearing_deg)},
            {"required_count", s.required_count},
            {"passed_count", s.passed_count}};
}

Json row_json(const setup::TableRow& r) {
    return {{"step_number", r.step_number},
            {"loop", name_of(r.loop)},
            {"turns", r.turns},
            {"capacitance_f", base::json_number(r.capacitance_f)},
            {"requested_hz", base::json_number(r.requested_hz)},
            {"frequency_hz", base::json_number(r.frequency_hz)},
            {"error_ppm", base::json_number(r.error_ppm)},
            {"divisor", r.divisor},
            {"cycles", r.cycles},
            {"dwell_s", base::json_number(r.dwell_s)},
            {"target_current_a_peak", base::json_number(r.target_current_a_peak)},
            {"mains_clash_order", r.mains_clash_order}};
}

Json step_json(const day::StepOutcome& s) {
    return {{"step_number", s.step_number},
            {"start_s", base::json_number(s.start_s)},
            {"dwell_s", base::json_number(s.dwell_s)},
            {"current_a_peak", base::json_number(if_sent(s.current_a_peak, s.dwell_s))},
            {"current_a_rms", base::json_number(if_sent(s.current_a_rms, s.dwell_s))},
            {"moment_a_m2_peak", base::json_number(if_sent(s.moment_a_m2_peak, s.dwell_s))},
            {"energy_wh", base::json_number(s.energy_wh)},
            {"bus_v", base::json_number(if_sent(s.bus_v, s.dwell_s))},
            {"battery_lowest_v", base::json_number(s.battery_lowest_v)},
            {"winding_c", base::json_number(s.winding_c)},
            {"electronics_c", base::json_number(s.electronics_c)},
            {"limited_by", limit_text(s)},
            {"complete", s.complete}};
}

Json sweep_json(const day::SweepOutcome& s) {
    return {{"station_index", of_place_in_list(s.listeners.size() == 1 ? s.listeners.front() : -1)},
            {"site_index", of_place_in_list(s.site_index)},
            {"sweep_number", s.sweep_number},
            {"start_s", base::json_number(s.start_s)},
            {"end_s", base::json_number(s.end_s)},
            {"complete", s.complete()},
            {"stopped_by", s.stopped_by ? Json(stop_text(s)) : Json(nullptr)},
            {"energy_wh", base::json_number(s.energy_wh)},
            {"steps", array(s.steps, step_json)}};
}

Json entry_json(const day::TimelineEntry& e, const day::DayResult& day) {
    return {{"start_s", base::json_number(e.start_s)},
            {"end_s", base::json_number(e.end_s)},
            {"activity", name_of(e.activity)},
            {"site_index", of_place_in_list(e.site_index)},
            {"station_index", of_place_in_list(e.station_index)},
            {"text", activity_text(e, day)}};
}

Json sample_json(const day::BatterySample& s) {
    return {{"time_s", base::json_number(s.time_s)},
            {"battery_number", s.battery_number},
            {"terminal_v", base::json_number(s.terminal_v)},
            {"current_a", base::json_number(s.current_a)},
            {"charge_available_fraction", base::json_number(s.charge_available_fraction)},
            {"charge_total_fraction", base::json_number(s.charge_total_fraction)},
            {"temperature_c", base::json_number(s.temperature_c)}};
}

Json use_json(const day::BatteryUse& u, const day::DayResult& day) {
    return {{"battery_number", u.battery_number},
            {"connected_s", base::json_number(u.connected_s)},
            {"disconnected_s", base::json_number(u.disconnected_s)},
            {"delivered_ah", base::json_number(u.delivered_ah)},
            {"delivered_wh", base::json_number(u.delivered_wh)},
            {"lowest_v", base::json_number(u.lowest_v)},
            {"lowest_v_time_s", base::json_number(u.lowest_v_time_s)},
            {"left_fraction", base::json_number(u.left_fraction)},
            {"reached_cut_off", at_cut_off(u, day)},
            {"cut_off_s", at_cut_off(u, day) ? base::json_number(u.cut_off_s) : Json(nullptr)},
            {"spent_s", u.reached_cut_off ? base::json_number(u.cut_off_s) : Json(nullptr)}};
}

Json snr_json(const reading::ChannelSnr& s) {
    return {{"ex", base::json_number(s.ex)},
            {"ey", base::json_number(s.ey)},
            {"hx", base::json_number(s.hx)},
            {"hy", base::json_number(s.hy)},
            {"hz", base::json_number(s.hz)}};
}

Json reading_json(const reading::Reading& j) {
    return {
        {"station_index", j.station_index},
        {"frequency_index", j.frequency_index},
        {"frequency_hz", base::json_number(j.frequency_hz)},
        {"verdict", name_of(j.verdict)},
        {"reason", j.reason},
        {"required", j.required},
        {"offset_over_skin_depth", base::json_number(j.offset_over_skin_depth)},
        {"dwell_a_s", base::json_number(if_sent(j.dwell_a_s, j.dwell_a_s))},
        {"dwell_b_s", base::json_number(if_sent(j.dwell_b_s, j.dwell_b_s))},
        {"moment_a_a_m2_peak", base::json_number(if_sent(j.moment_a_a_m2, j.dwell_a_s))},
        {"moment_b_a_m2_peak", base::json_number(if_sent(j.moment_b_a_m2, j.dwell_b_s))},
        {"snr_a_power_ratio", snr_json(j.snr_a)},
        {"snr_b_power_ratio", snr_json(j.snr_b)},
        {"plane_resistivity_ohm_m", base::json_number(j.plane_resistivity_ohm_m)},
        {"plane_phase_deg", base::json_number(j.plane_phase_deg)},
        {"resistivity_xy_ohm_m", base::json_number(j.resistivity_xy_ohm_m)},
        {"phase_xy_deg", base::json_number(j.phase_xy_deg)},
        {"resistivity_yx_ohm_m", base::json_number(j.resistivity_yx_ohm_m)},
        {"phase_yx_deg", base::json_number(j.phase_yx_deg)},
        {"resistivity_sd_xy_percent", base::json_number(j.resistivity_sd_xy_percent)},
        {"phase_sd_xy_deg", base::json_number(j.phase_sd_xy_deg)},
        {"resistivity_sd_yx_percent", base::json_number(j.resistivity_sd_yx_percent)},
        {"phase_sd_yx_deg", base::json_number(j.phase_sd_yx_deg)},
        {"correlated_resistivity_sd_xy_percent", base::json_number(j.correlated_resistivity_sd_xy_percent)},
        {"correlated_phase_sd_xy_deg", base::json_number(j.correlated_phase_sd_xy_deg)},
        {"correlated_resistivity_sd_yx_percent", base::json_number(j.correlated_resistivity_sd_yx_percent)},
        {"correlated_phase_sd_yx_deg", base::json_number(j.correlated_phase_sd_yx_deg)},
        {"natural_signal_sd_percent", base::json_number(j.natural_signal_sd_percent)},
        {"bias_xy_percent", base::json_number(j.bias_xy_percent)},
        {"bias_xy_deg", base::json_number(j.bias_xy_deg)},
        {"bias_yx_percent", base::json_number(j.bias_yx_percent)},
        {"bias_yx_deg", base::json_number(j.bias_yx_deg)},
        {"h_condition_number", base::json_number(j.h_condition_number)}};
}

Json order_json(const day::ImprovedOrder& o, const day::DayResult& day) {
    Json stations = Json::array();
    for (const day::StationSummary& station : day.stations) stations.push_back(station.name);
    const auto both = [](double planned, double improved) {
        return Json{{"planned", base::json_number(planned)}, {"improved", base::json_number(improved)}};
    };
    return {{"exact", o.exact},
            {"unchanged", o.unchanged},
            {"stations", {{"planned", o.planned_stations}, {"improved", std::move(stations)}}},
            {"moving_s", both(o.planned_moving_s, o.moving_s)},
            {"receiver_way_s", both(o.planned_receiver_s, o.receiver_s)},
            {"receiver_way_m", both(o.planned_receiver_m, o.receiver_m)},
            {"end_s", both(o.planned_end_s, day.end_s)},
            {"passed_count", {{"planned", o.planned_passed_count}, {"improved", day.passed_count}}}};
}

Json crew_order_json(const day::ImprovedCrews& o, const day::DayResult& day) {
    Json planned = Json::array(), improved = Json::array();
    for (std::size_t s = 0; s < day.stations.size(); ++s) {
        planned.push_back(
            {{"station", o.planned_stations[s]}, {"crew", receiver_crew_name(day, o.planned_crews[s])}});
        improved.push_back({{"station", day.stations[s].name},
                            {"crew", receiver_crew_name(day, day.stations[s].crew_index)}});
    }
    const auto by_times = [](const day::ImprovedCrews::ByTimes& t) {
        return Json{{"end_s", base::json_number(t.end_s)}, {"sweep_count", t.sweeps}};
    };
    return {{"exact", o.exact},
            {"unchanged", o.unchanged},
            {"better_by_times", o.better_by_times},
            {"stations", {{"planned", std::move(planned)}, {"improved", std::move(improved)}}},
            {"by_times",
             {{"planned", by_times(o.planned_by_times)},
              {"improved", by_times(o.by_times)},
              {"lower_bound", by_times(o.bound)}}},
            {"end_s",
             {{"planned", base::json_number(o.planned_end_s)}, {"improved", base::json_number(day.end_s)}}},
            {"passed_count", {{"planned", o.planned_passed_count}, {"improved", day.passed_count}}}};
}

/// What a plan with receiver crews has more: the crews, whose each station is, who is at work in each entry of the
/// timeline, and all that listen to each sweep.
void add_crews(const day::DayResult& day, Json& json) {
    json["receiver_crews"] = array(day.receiver_crews, [](const day::CrewSummary& c) {
        return Json{{"name", c.name},
                    {"people", c.people},
                    {"sensor_sets", c.sensor_sets},
                    {"back_s", base::json_number(c.back_s)}};
    });
    for (std::size_t i = 0; i < day.stations.size(); ++i)
        json["stations"][i]["crew_index"] = day.stations[i].crew_index;
    for (std::size_t i = 0; i < day.sweeps.size(); ++i)
        json["sweeps"][i]["listening_station_indices"] = day.sweeps[i].listeners;
    for (std::size_t i = 0; i < day.timeline.size(); ++i) {
        json["timeline"][i]["crew"] = crew_text(day.timeline[i], day);
        if (const auto* sweep = std::get_if<day::SweepAttempt>(&day.timeline[i].activity))
            json["timeline"][i]["listening_station_indices"] = sweep->listeners;
    }
    json["crew_order"] = day.crew_order ? crew_order_json(*day.crew_order, day) : Json(nullptr);
    json["sweeps_heard"] = array(day::sweeps_heard(day.sweeps), [](const day::SweepsHeard& h) {
        return Json{{"sweep_count", h.sweeps}, {"station_count", h.stations}};
    });
}

}  // namespace

Json day_json(const day::DayResult& day) {
    Json json{
        {"schema", "ampturn.day"},
        {"schema_version", 1},
        {"version", std::string(base::version())},
        {"git_hash", std::string(base::git_hash())},
        {"plan_path", day.plan_path},
        {"plan_crc32", day.plan_crc32},
        {"survey_name", day.survey_name},
        {"survey_note", day.survey_note},
        {"invented", day.invented},
        {"date", day.date},
        {"utc_offset_h", base::json_number(day.utc_offset_h)},
        {"completed", day.completed},
        {"end_s", base::json_number(day.end_s)},
        {"person_hours", base::json_number(day.person_hours)},
        {"required_count", day.required_count},
        {"passed_count", day.passed_count},
        {"passed_with_flat_coils_count",
         day.passed_with_flat_coils ? Json(*day.passed_with_flat_coils) : Json(nullptr)},
        {"energy_wh", base::json_number(day.energy_wh)},
        {"batteries_carried", day.batteries_carried},
        {"batteries_needed", day.batteries_needed},
        {"batteries_needed_why", batteries_needed_text(day)},
        {"battery_cut_off_v", base::json_number(day.battery_cut_off_v)},
        {"target_resistivity_percent", base::json_number(day.target_resistivity_percent)},
        {"target_phase_deg", base::json_number(day.target_phase_deg)},
        {"tolerance_bias_percent", base::json_number(day.tolerance_bias_percent)},
        {"tolerance_bias_deg", base::json_number(day.tolerance_bias_deg)},
        {"findings", array(day.findings, [&](const day::Finding& f) { return finding_text(f, day); })},
        {"cautions", day.cautions},
        {"sites", array(day.sites, site_json)},
        {"stations", array(day.stations, station_json)},
        {"station_order", day.order ? order_json(*day.order, day) : Json(nullptr)},
        {"table_crc32", day.table_crc32},
        {"table_made_for",
         {{"temperature_c", base::json_number(day.table_made_for.temperature_c)},
          {"state_of_charge_fraction", base::json_number(day.table_made_for.state_of_charge_fraction)}}},
        {"table_duration_s", base::json_number(day.table_duration_s)},
        {"table", array(day.table, row_json)},
        {"frequencies_hz", array(day.frequencies_hz, base::json_number)},
        {"timeline", array(day.timeline, [&](const auto& e) { return entry_json(e, day); })},
        {"batteries", array(day.batteries, [&](const auto& u) { return use_json(u, day); })},
        {"judged", array(day.readings, reading_json)},
        {"sweeps", array(day.sweeps, sweep_json)},
        {"battery_trace", array(day.battery_trace, sample_json)}};
    if (!day.receiver_crews.empty()) add_crews(day, json);
    return json;
}

std::string day_json_text(const day::DayResult& day) { return base::json_text(day_json(day), 2); }

}  // namespace ampturn::report
