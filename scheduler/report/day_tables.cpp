#include "scheduler/report/day_tables.hpp"

#include "scheduler/base/csv.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"

namespace ampturn::report {

namespace {

std::string sweep_table(const day::DayResult& day) {
    base::CsvTable csv({"step_number", "loop", "turns", "capacitance_f", "requested_hz", "frequency_hz",
                        "error_ppm", "divisor", "cycles", "dwell_s", "target_current_a_peak",
                        "mains_clash_order"});
    for (const setup::TableRow& r : day.table) {
        csv.cell(r.step_number).cell(name_of(r.loop)).cell(r.turns).cell(r.capacitance_f);
        csv.cell(r.requested_hz).cell(r.frequency_hz).cell(r.error_ppm).cell(r.divisor).cell(r.cycles);
        csv.cell(r.dwell_s).cell(r.target_current_a_peak).cell(r.mains_clash_order).end_row();
    }
    return csv.text();
}

/// Columns of a table; where the plan has receiver crews, with one more at the end.
std::vector<std::string_view> with_crews(const day::DayResult& day, std::vector<std::string_view> columns,
                                         std::string_view more) {
    if (!day.receiver_crews.empty()) columns.push_back(more);
    return columns;
}

std::string timeline(const day::DayResult& day) {
    base::CsvTable csv(with_crews(
        day, {"start_s", "end_s", "start_clock", "end_clock", "activity", "site", "station", "text"},
        "crew"));
    for (const day::TimelineEntry& e : day.timeline) {
        csv.cell(e.start_s).cell(e.end_s).cell(base::clock_text(e.start_s)).cell(base::clock_text(e.end_s));
        csv.cell(name_of(e.activity))
            .cell(site_name(day, e.site_index))
            .cell(station_name(day, e.station_index));
        csv.cell(activity_text(e, day));
        if (!day.receiver_crews.empty()) csv.cell(crew_text(e, day));
        csv.end_row();
    }
    return csv.text();
}

std::string sweeps(const day::DayResult& day) {
    base::CsvTable csv(with_crews(
        day, {"station", "site", "sweep_number", "start_s", "end_s", "complete", "stopped_by", "energy_wh"},
        "stations_listening"));
    for (const day::SweepOutcome& s : day.sweeps) {
        csv.cell(station_names(day, s.listeners)).cell(site_name(day, s.site_index)).cell(s.sweep_number);
        csv.cell(s.start_s).cell(s.end_s).cell(s.complete()).cell(stop_text(s)).cell(s.energy_wh);
        if (!day.receiver_crews.empty()) csv.cell(static_cast<int>(s.listeners.size()));
        csv.end_row();
    }
    return csv.text();
}

std::string receiver_crews(const day::DayResult& day) {
    base::CsvTable csv({"crew", "people", "sensor_sets", "back_s"});
    for (const day::CrewSummary& c : day.receiver_crews)
        csv.cell(c.name).cell(c.people).cell(c.sensor_sets).cell(c.back_s).end_row();
    return csv.text();
}

/// A row for each station that listens to a sweep; sweeps by their row of sweeps.csv.
std::string listening(const day::DayResult& day) {
    base::CsvTable csv({"sweep_row", "station", "crew", "sweep_number", "complete"});
    int row = 0;
    for (const day::SweepOutcome& s : day.sweeps) {
        ++row;
        for (const int listener : s.listeners)
            csv.cell(row)
                .cell(station_name(day, listener))
                .cell(receiver_crew_name(day, day.stations[static_cast<std::size_t>(listener)].crew_index))
                .cell(s.sweep_number)
                .cell(s.complete())
                .end_row();
    }
    return csv.text();
}

std::string steps(const day::DayResult& day) {
    base::CsvTable csv({"station", "site", "sweep_number", "step_number", "loop", "frequency_hz", "start_s",
                        "dwell_s", "current_a_peak", "current_a_rms", "moment_a_m2_peak", "energy_wh",
                        "bus_v", "battery_lowest_v", "winding_c", "electronics_c", "limited_by", "complete"});
    for (const day::SweepOutcome& sweep : day.sweeps)
        for (const day::StepOutcome& s : sweep.steps) {
            const auto row = static_cast<std::size_t>(s.step_number - 1);
            const setup::TableRow* requested =
                s.step_number > 0 && row < day.table.size() ? &day.table[row] : nullptr;
            csv.cell(station_names(day, sweep.listeners)).cell(site_name(day, sweep.site_index));
            csv.cell(sweep.sweep_number).cell(s.step_number);
            csv.cell(requested ? name_of(requested->loop) : "");
            if (requested)
                csv.cell(requested->frequency_hz);
            else
                csv.cell("");
            csv.cell(s.start_s)
                .cell(s.dwell_s)
                .cell(if_sent(s.current_a_peak, s.dwell_s))
                .cell(if_sent(s.current_a_rms, s.dwell_s));
            csv.cell(if_sent(s.moment_a_m2_peak, s.dwell_s))
                .cell(s.energy_wh)
                .cell(if_sent(s.bus_v, s.dwell_s))
                .cell(s.battery_lowest_v);
            csv.cell(s.winding_c).cell(s.electronics_c).cell(limit_text(s)).cell(s.complete).end_row();
        }
    return csv.text();
}

std::string battery_trace(const day::DayResult& day) {
    base::CsvTable csv({"time_s", "battery_number", "terminal_v", "current_a", "charge_available_fraction",
                        "charge_total_fraction", "temperature_c"});
    for (const day::BatterySample& s : day.battery_trace) {
        csv.cell(s.time_s).cell(s.battery_number).cell(s.terminal_v).cell(s.current_a);
        csv.cell(s.charge_available_fraction).cell(s.charge_total_fraction).cell(s.temperature_c).end_row();
    }
    return csv.text();
}

std::string batteries(const day::DayResult& day) {
    base::CsvTable csv({"battery_number", "connected_s", "disconnected_s", "delivered_ah", "delivered_wh",
                        "lowest_v", "lowest_v_time_s", "left_fraction", "reached_cut_off", "cut_off_s",
                        "spent_s"});
    for (const day::BatteryUse& u : day.batteries) {
        csv.cell(u.battery_number).cell(u.connected_s).cell(u.disconnected_s).cell(u.delivered_ah);
        csv.cell(u.delivered_wh).cell(u.lowest_v).cell(u.lowest_v_time_s).cell(u.left_fraction);
        csv.cell(at_cut_off(u, day));
        if (at_cut_off(u, day))
            csv.cell(u.cut_off_s);
        else
            csv.cell("");
        if (u.reached_cut_off)
            csv.cell(u.cut_off_s);
        else
            csv.cell("");
        csv.end_row();
    }
    return csv.text();
}

std::string sites(const day::DayResult& day) {
    base::CsvTable csv({"site", "x_m", "y_m", "latitude_deg", "longitude_deg", "loop_azimuth_a_deg",
                        "loop_azimuth_b_deg", "keep_out_public_m", "keep_out_occupational_m"});
    for (const day::SiteSummary& s : day.sites) {
        csv.cell(s.name).cell(s.x_m).cell(s.y_m).cell(s.latitude_deg).cell(s.longitude_deg);
        csv.cell(s.loop_azimuth_a_deg).cell(s.loop_azimuth_b_deg);
        csv.cell(s.keep_out_public_m).cell(s.keep_out_occupational_m).end_row();
    }
    return csv.text();
}

std::string stations(const day::DayResult& day) {
    base::CsvTable csv(with_crews(
        day, {"station", "site", "x_m", "y_m", "offset_m", "bearing_deg", "required_count", "passed_count"},
        "crew"));
    for (const day::StationSummary& s : day.stations) {
        csv.cell(s.name).cell(site_name(day, s.site_index)).cell(s.x_m).cell(s.y_m).cell(s.offset_m);
        csv.cell(s.bearing_deg).cell(s.required_count).cell(s.passed_count);
        if (!day.receiver_crews.empty()) csv.cell(receiver_crew_name(day, s.crew_index));
        csv.end_row();
    }
    return csv.text();
}

void add_snr(base::CsvTable& csv, const reading::ChannelSnr& snr) {
    csv.cell(snr.ex).cell(snr.ey).cell(snr.hx).cell(snr.hy).cell(snr.hz);
}

std::string readings_csv(const day::DayResult& day) {
    base::CsvTable csv({"station",
                        "frequency_hz",
                        "verdict",
                        "reason",
                        "required",
                        "offset_over_skin_depth",
                        "dwell_a_s",
                        "dwell_b_s",
                        "moment_a_a_m2_peak",
                        "moment_b_a_m2_peak",
                        "snr_a_ex_power_ratio",
                        "snr_a_ey_power_ratio",
                        "snr_a_hx_power_ratio",
                        "snr_a_hy_power_ratio",
                        "snr_a_hz_power_ratio",
                        "snr_b_ex_power_ratio",
                        "snr_b_ey_power_ratio",
                        "snr_b_hx_power_ratio",
                        "snr_b_hy_power_ratio",
                        "snr_b_hz_power_ratio",
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
                        "correlated_resistivity_sd_xy_percent",
                        "correlated_phase_sd_xy_deg",
                        "correlated_resistivity_sd_yx_percent",
                        "correlated_phase_sd_yx_deg",
                        "natural_signal_sd_percent",
                        "bias_xy_percent",
                        "bias_xy_deg",
                        "bias_yx_percent",
                        "bias_yx_deg",
                        "h_condition_number"});
    for (const reading::Reading& j : day.readings) {
        csv.cell(station_name(day, j.station_index)).cell(j.frequency_hz).cell(name_of(j.verdict));
        csv.cell(j.reason)
            .cell(j.required)
            .cell(j.offset_over_skin_depth)
            .cell(if_sent(j.dwell_a_s, j.dwell_a_s))
            .cell(if_sent(j.dwell_b_s, j.dwell_b_s));
        csv.cell(if_sent(j.moment_a_a_m2, j.dwell_a_s)).cell(if_sent(j.moment_b_a_m2, j.dwell_b_s));
        add_snr(csv, j.snr_a);
        add_snr(csv, j.snr_b);
        csv.cell(j.plane_resistivity_ohm_m).cell(j.plane_phase_deg);
        csv.cell(j.resistivity_xy_ohm_m)
            .cell(j.phase_xy_deg)
            .cell(j.resistivity_yx_ohm_m)
            .cell(j.phase_yx_deg);
        csv.cell(j.resistivity_sd_xy_percent).cell(j.phase_sd_xy_deg);
        csv.cell(j.resistivity_sd_yx_percent).cell(j.phase_sd_yx_deg);
        csv.cell(j.correlated_resistivity_sd_xy_percent).cell(j.correlated_phase_sd_xy_deg);
        csv.cell(j.correlated_resistivity_sd_yx_percent).cell(j.correlated_phase_sd_yx_deg);
        csv.cell(j.natural_signal_sd_percent);
        csv.cell(j.bias_xy_percent).cell(j.bias_xy_deg).cell(j.bias_yx_percent).cell(j.bias_yx_deg);
        csv.cell(j.h_condition_number).end_row();
    }
    return csv.text();
}

}  // namespace

std::vector<base::NamedText> day_tables(const day::DayResult& day) {
    std::vector<base::NamedText> tables{
        {"table.csv", sweep_table(day)},     {"timeline.csv", timeline(day)},
        {"sweeps.csv", sweeps(day)},         {"steps.csv", steps(day)},
        {"battery.csv", battery_trace(day)}, {"batteries.csv", batteries(day)},
        {"sites.csv", sites(day)},           {"stations.csv", stations(day)},
        {"judged.csv", readings_csv(day)}};
    if (!day.receiver_crews.empty()) {
        tables.push_back({"receiver_crews.csv", receiver_crews(day)});
        tables.push_back({"listening.csv", listening(day)});
    }
    return tables;
}

}  // namespace ampturn::report
