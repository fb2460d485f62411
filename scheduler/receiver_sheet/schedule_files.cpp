#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/receiver_sheet/receiver_output.hpp"
#include "scheduler/report/day_names.hpp"

namespace ampturn::receiver_sheet {
namespace {

using json = nlohmann::ordered_json;
using base::json_number;

std::string utc(const plan::Plan& plan, double local_s) {
    return base::utc_text(plan.survey.date, local_s, plan.survey.utc_offset_h);
}

std::string schedule_csv(const plan::Plan& plan, const day::DayResult& day,
                         const std::vector<CrewSchedule>& crews) {
    base::CsvTable csv({"crew", "station", "sweep_number", "sweep_whole", "step_number", "loop",
                        "frequency_hz", "start_utc", "dwell_s", "record_s", "whole_records", "line_e_v_peak",
                        "line_b_nt_peak", "e_snr_one_record", "b_snr_one_record"});
    for (const CrewSchedule& crew : crews)
        for (const ListenedStation& station : crew.stations)
            for (const ListenedSweep& sweep : station.sweeps)
                for (const ArrivingStep& step : sweep.steps) {
                    csv.cell(crew.name).cell(report::station_name(day, station.station_index));
                    csv.cell(sweep.sweep_number)
                        .cell(sweep.whole)
                        .cell(step.step_number)
                        .cell(name_of(step.loop));
                    csv.cell(step.frequency_hz).cell(utc(plan, step.start_s));
                    csv.cell(step.dwell_s).cell(step.record_s).cell(step.whole_records);
                    csv.cell(step.line_e_v).cell(step.line_b_nt);
                    csv.cell(step.e_snr_one_record).cell(step.b_snr_one_record).end_row();
                }
    return csv.text();
}

json range_json(const RangeUse& use) {
    return {{"peak", json_number(use.peak)},
            {"full_scale", json_number(use.full_scale)},
            {"full_scale_least", json_number(use.full_scale_least)},
            {"clips", use.clips()},
            {"gain_most", json_number(use.gain_most())}};
}

json step_json(const plan::Plan& plan, const ArrivingStep& step) {
    return {{"step_number", step.step_number},
            {"loop", name_of(step.loop)},
            {"frequency_hz", json_number(step.frequency_hz)},
            {"start_utc", utc(plan, step.start_s)},
            {"dwell_s", json_number(step.dwell_s)},
            {"record_s", json_number(step.record_s)},
            {"whole_records", step.whole_records},
            {"line_e_v_peak", json_number(step.line_e_v)},
            {"line_b_nt_peak", json_number(step.line_b_nt)},
            {"e_snr_one_record", json_number(step.e_snr_one_record)},
            {"b_snr_one_record", json_number(step.b_snr_one_record)}};
}

json station_json(const plan::Plan& plan, const day::DayResult& day, const ListenedStation& station) {
    json sweeps = json::array();
    for (const ListenedSweep& sweep : station.sweeps) {
        json steps = json::array();
        for (const ArrivingStep& step : sweep.steps) steps.push_back(step_json(plan, step));
        sweeps.push_back({{"sweep_number", sweep.sweep_number},
                          {"start_utc", utc(plan, sweep.start_s)},
                          {"end_utc", utc(plan, sweep.end_s)},
                          {"whole", sweep.whole},
                          {"steps", std::move(steps)}});
    }
    const auto time = [&](double local_s) -> json {
        return std::isnan(local_s) ? json(nullptr) : json(utc(plan, local_s));
    };
    return {{"station", report::station_name(day, station.station_index)},
            {"site", report::site_name(
                         day, day.stations[static_cast<std::size_t>(station.station_index)].site_index)},
            {"arrives_utc", time(station.arrives_s)},
            {"ready_utc", time(station.ready_s)},
            {"leaves_utc", time(station.leaves_s)},
            {"not_sent", station.not_sent},
            {"e_v_peak", range_json(station.e_v)},
            {"b_nt_peak", range_json(station.b_nt)},
            {"sweeps", std::move(sweeps)}};
}

std::string schedule_json(const plan::Plan& plan, const day::DayResult& day,
                          const std::vector<CrewSchedule>& crews) {
    json list = json::array();
    for (const CrewSchedule& crew : crews) {
        json stations = json::array();
        for (const ListenedStation& station : crew.stations)
            stations.push_back(station_json(plan, day, station));
        list.push_back({{"crew", crew.name}, {"stations", std::move(stations)}});
    }
    return base::json_text(json{{"schema", "ampturn receiver schedule 1"},
                                {"version", base::version()},
                                {"survey", day.survey_name},
                                {"invented", day.invented},
                                {"date", day.date},
                                {"utc_offset_h", json_number(day.utc_offset_h)},
                                {"plan_crc32", day.plan_crc32},
                                {"table_crc32", day.table_crc32},
                                {"crews", std::move(list)}},
                           1);
}

}  // namespace

std::vector<base::NamedText> receiver_files(const plan::Plan& plan, const day::DayResult& day,
                                            const std::vector<CrewSchedule>& crews) {
    std::vector<base::NamedText> out{{"schedule.csv", schedule_csv(plan, day, crews)},
                                     {"schedule.json", schedule_json(plan, day, crews)}};
    for (std::size_t i = 0; i < crews.size(); ++i)
        out.push_back({fmt::format("receiver_{}.html", i + 1), receiver_page(plan, day, crews[i])});
    return out;
}

}  // namespace ampturn::receiver_sheet
