#include "tests/scheduler/report/synthetic_day.hpp"

#include <cmath>
#include <limits>
#include <numbers>

using namespace ampturn::day;
using namespace ampturn::reading;
using namespace ampturn::setup;
using ampturn::model::transmitter::Limit;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr int frequency_count = 16, stations_per_site = 6, station_count = 12, swept_whole = 9;

double frequency_at(int i) { return 400.0 * std::pow(100.0, i / (frequency_count - 1.0)); }

void add_table(DayResult& day) {
    for (int i = 0; i < frequency_count; ++i)
        day.frequencies_hz.push_back(frequency_at(frequency_count - 1 - i));
    for (int i = 0; i < 2 * frequency_count; ++i) {
        const double f = day.frequencies_hz[static_cast<std::size_t>(i / 2)];
        const auto divisor = static_cast<std::uint32_t>(2 * std::llround(12e6 / f));
        const double given = 24e6 / divisor;
        const double dwell_s = f < 2000 ? 20 : 8;
        day.table.push_back(
            {i + 1,
             i % 2 == 0 ? ampturn::model::loop::LoopSelection::a : ampturn::model::loop::LoopSelection::b,
             f > 10e3 ? 2 : 4,
             f > 10e3 ? 47e-9 : 0,
             f,
             given,
             1e6 * (given - f) / f,
             divisor,
             static_cast<std::uint32_t>(dwell_s * given),
             dwell_s,
             10,
             i == 7 ? 41 : 0,
             {}});
        day.table_duration_s += dwell_s + 1.5;
    }
}

void add_places(DayResult& day) {
    day.sites = {{"North", 350, 0, 47.001234, 8.004321, 20, 110, 4.27, 2.31},
                 {"South <S>", -650, 150, not_a_number, not_a_number, 5, 95, 4.27, 2.31}};
    for (int i = 0; i < station_count; ++i) {
        const int site = i / stations_per_site, k = i % stations_per_site;
        const double offset_m = 240 + 110 * k, bearing_deg = 100 + 28 * k + 10 * site;
        const double bearing = bearing_deg * std::numbers::pi / 180;
        const SiteSummary& s = day.sites[static_cast<std::size_t>(site)];
        day.stations.push_back({"S" + std::to_string(i + 1), site, s.x_m + offset_m * std::cos(bearing),
                                s.y_m + offset_m * std::sin(bearing), offset_m, bearing_deg, 0, 0});
    }
    day.stations[3].name = "S4 & \"brook\"";
}

void add_sweeps(DayResult& day) {
    double now_s = 7.5 * 3600, left = 1;
    int battery = 1;
    const auto sample = [&](double volts, double amperes) {
        day.battery_trace.push_back({now_s, battery, volts, amperes,
                                     std::max(0.0, left - 0.1 * (amperes > 0)), left,
                                     -4 + 0.8 * (now_s / 3600 - 7)});
    };
    const auto entry = [&](double minutes, Activity activity, int site, int station) {
        day.timeline.push_back({now_s, now_s + 60 * minutes, std::move(activity), site, station});
        now_s += 60 * minutes;
    };
    for (int i = 0; i < station_count; ++i) {
        const int site = i / stations_per_site;
        if (i % stations_per_site == 0) {
            entry(20, Journey{Crew::transmitter, "base", day.sites[static_cast<std::size_t>(site)].name},
                  site, -1);
            entry(70, SetUp{Crew::transmitter}, site, -1);
        }
        entry(12, SetUp{Crew::receiver}, site, i);
        const bool whole = i < swept_whole;
        if (i > swept_whole) {
            entry(5, TransmitterStops{}, site, i);
            continue;
        }
        SweepOutcome sweep{{i}, site, 1, now_s, 0, std::nullopt, 0, {}};
        if (!whole) sweep.stopped_by = Tripped{ampturn::core::Trip::under_voltage};
        sample(12.5 * (0.9 + 0.1 * left), 0);
        for (const TableRow& row : day.table) {
            if (!whole && row.step_number > 12) break;
            const bool last = !whole && row.step_number == 12;
            const double amperes = (row.frequency_hz > 10e3 ? 6.5 : 9.8) * (0.92 + 0.08 * left);
            StepOutcome step{row.step_number,
                             now_s,
                             last ? 0.4 * row.dwell_s : row.dwell_s,
                             amperes,
                             amperes / std::sqrt(2.0),
                             amperes * 25 * row.turns,
                             0,
                             0.09 * row.dwell_s,
                             12,
                             11.9 - 1.4 * (1 - left) * (1 - left),
                             -3 + 0.2 * row.step_number,
                             5 + 0.3 * row.step_number,
                             row.frequency_hz > 10e3 ? Limit::voltage : Limit::peak_current,
                             !last};
            if (last) step.battery_lowest_v = 10.49;
            left -= 0.0021;
            sample(step.battery_lowest_v, 12);
            now_s += row.dwell_s + 1.5;
            sample(step.battery_lowest_v + 0.35, 0.3);
            sweep.energy_wh += step.energy_wh;
            sweep.steps.push_back(step);
        }
        sweep.end_s = now_s;
        day.energy_wh += sweep.energy_wh;
        day.timeline.push_back({sweep.start_s, now_s, SweepAttempt{1, sweep.stopped_by, {i}}, site, i});
        day.sweeps.push_back(std::move(sweep));
        entry(4, Cooling{}, site, i);
        if (i == 4) {
            entry(4, BatterySwap{2, BatterySwap::Cause::spent, 0.2}, site, i);
            left = 0.86;
            battery = 2;
        }
    }
    entry(25, PackUp{Crew::transmitter}, 1, -1);
    day.end_s = now_s;
}

void add_readings(DayResult& day) {
    for (int s = 0; s < station_count; ++s)
        for (int i = 0; i < frequency_count; ++i) {
            StationSummary& station = day.stations[static_cast<std::size_t>(s)];
            const double f = day.frequencies_hz[static_cast<std::size_t>(i)];
            const double plane = 90 * (1 + 0.6 * std::tanh(std::log10(3000 / f))),
                         phase = 45 + 14 * std::tanh(std::log10(f / 3000));
            const double u = station.offset_m / (503 * std::sqrt(plane / f));
            const double bias = 70 * std::exp(-std::pow(std::log(u / 2.2), 2)) - 95 / (1 + std::pow(u, 4));
            const double spread = std::pow(station.offset_m / 300, 3) * (0.6 + 1e3 / f);
            const bool sent = s < swept_whole || (s == swept_whole && i < 6);
            Reading j{};
            j.station_index = s;
            j.frequency_index = i;
            j.frequency_hz = f;
            j.offset_over_skin_depth = u;
            j.plane_resistivity_ohm_m = plane;
            j.plane_phase_deg = phase;
            j.required = f > 700;
            if (!sent) {
                for (double* value :
                     {&j.resistivity_xy_ohm_m, &j.phase_xy_deg, &j.resistivity_yx_ohm_m, &j.phase_yx_deg,
                      &j.resistivity_sd_xy_percent, &j.phase_sd_xy_deg, &j.resistivity_sd_yx_percent,
                      &j.phase_sd_yx_deg, &j.correlated_resistivity_sd_xy_percent,
                      &j.correlated_phase_sd_xy_deg, &j.correlated_resistivity_sd_yx_percent,
                      &j.correlated_phase_sd_yx_deg, &j.natural_signal_sd_percent, &j.bias_xy_percent,
                      &j.bias_xy_deg, &j.bias_yx_percent, &j.bias_yx_deg, &j.h_condition_number})
                    *value = not_a_number;
                j.verdict = Verdict::not_sent;
                j.reason = "the battery had reached its cut-off";
            } else {
                j.dwell_a_s = j.dwell_b_s = f < 2000 ? 20 : 8;
                j.moment_a_a_m2 = j.moment_b_a_m2 = f > 10e3 ? 320 : 980;
                const double ratio = 2 / std::pow(spread / 100, 2);
                j.snr_a = {ratio, 0.2 * ratio, 2 * ratio, 8 * ratio, 3 * ratio};
                j.snr_b = {0.3 * ratio, 1.5 * ratio, 9 * ratio, 1.6 * ratio, 2 * ratio};
                j.bias_xy_percent = bias;
                j.bias_yx_percent = 0.6 * bias;
                j.bias_xy_deg = -0.1 * bias;
                j.bias_yx_deg = -0.06 * bias;
                j.resistivity_xy_ohm_m = plane * (1 + bias / 100);
                j.resistivity_yx_ohm_m = plane * (1 + 0.6 * bias / 100);
                j.phase_xy_deg = phase + j.bias_xy_deg;
                j.phase_yx_deg = phase + j.bias_yx_deg;
                j.resistivity_sd_xy_percent = spread;
                j.resistivity_sd_yx_percent = 1.3 * spread;
                j.phase_sd_xy_deg = 0.29 * spread;
                j.phase_sd_yx_deg = 0.37 * spread;
                j.correlated_resistivity_sd_xy_percent = 0.8 * spread;
                j.correlated_resistivity_sd_yx_percent = spread;
                j.correlated_phase_sd_xy_deg = 0.23 * spread;
                j.correlated_phase_sd_yx_deg = 0.29 * spread;
                j.natural_signal_sd_percent = 3 * std::sqrt(2000 / f);
                j.h_condition_number = 1.9;
                if (std::fabs(bias) > 50) {
                    j.verdict = Verdict::near_field;
                    j.reason = "apparent resistivity far off the plane wave in xy, limit 50 %";
                } else if (std::fabs(bias) > 5) {
                    j.verdict = Verdict::transition;
                    j.reason = "bias over the tolerance of 5 % in xy";
                } else if (spread > 5) {
                    j.verdict = Verdict::noisy;
                    j.reason = "error bar over the target of 5 % in yx";
                } else {
                    j.verdict = Verdict::usable;
                }
            }
            if (j.required) {
                ++station.required_count;
                ++day.required_count;
                if (j.verdict == Verdict::usable) {
                    ++station.passed_count;
                    ++day.passed_count;
                }
            }
            day.readings.push_back(std::move(j));
        }
}

}  // namespace

DayResult synthetic_day() {
    DayResult day{};
    day.plan_path = "demo/made_up.toml";
    day.plan_crc32 = "0BADCAFE";
    day.table_crc32 = "DEADBEEF";
    day.table_made_for = {-12, 0.5};
    day.survey_name = "Made-up valley";
    day.survey_note = "Twelve stations over a <three-layer> ground & a cold morning.";
    day.invented = true;
    day.date = "2027-02-03";
    day.utc_offset_h = 1;
    add_table(day);
    add_places(day);
    add_sweeps(day);
    add_readings(day);
    day.batteries = {{1, 7.5 * 3600, 12 * 3600, 31.2, 372, 11.35, 11.6 * 3600, 0.31, false, not_a_number},
                     {2, 12.1 * 3600, day.end_s, 40.9, 470, 10.49, 14.2 * 3600, 0.12, true, 14.2 * 3600}};
    day.battery_cut_off_v = 10.5;
    day.batteries_carried = 2;
    day.batteries_needed = 3;
    day.batteries_needed_suffice = true;
    day.target_resistivity_percent = 5;
    day.target_phase_deg = 2;
    day.tolerance_bias_percent = 5;
    day.tolerance_bias_deg = 2;
    day.completed = false;
    day.findings = {
        SweepsSent{.all = false,
                   .whole = swept_whole,
                   .day_end_s = day.end_s,
                   .lost = {{NoBatteryLeft{}, 2}, {Tripped{ampturn::core::Trip::under_voltage}, 1}},
                   .repeated = {}},
        BatteryRanOut{.battery_number = 2,
                      .at_cut_off = true,
                      .cut_off_v = 10.5,
                      .lowest_v = 10.49,
                      .time_s = 14.2 * 3600,
                      .delivered_ah = 40.9},
        CarryMoreBatteries{.needed = 3, .carried = 2},
        FrequenciesLost{FrequenciesLost::Why::too_near, {day.frequencies_hz.back()}},
        MainsClash{.frequency_hz = day.frequencies_hz[3], .order = 41}};
    day.cautions = {"Energised loop: sound the warning, watch the ring, stop at any doubt.",
                    "Capacitors stay charged after a stop: wait, then measure before touching.",
                    "Thunder heard: stop, lower the mast, take shelter."};
    return day;
}
