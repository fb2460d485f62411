#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace ampturn::plan {

/// What a simulated day gives: plain data, filled by day.cpp, written by day_json, day_tables, day_text and
/// report. Times are seconds after local midnight of the day unless the name says otherwise; amplitudes are
/// peak.

/// One row of the sweep table, as the clock can really give it.
struct TableRow {
    int step_number;  // from 1
    char loop;        // 'A' or 'B'
    int turns;
    double capacitor_f;  // 0: none
    double requested_hz, frequency_hz, error_ppm;
    std::uint32_t divisor, cycles;
    double dwell_s;
    double target_current_a_peak;
    int mains_clash_order;  // 0: none
};

/// One step as it was sent in one sweep.
struct StepOutcome {
    int step_number;
    double start_s, dwell_s;  // dwell really sent, ramps not counted
    double current_a_peak;    // fundamental, mean over the dwell
    double current_a_rms;
    double moment_a_m2_peak;
    double energy_wh;  // taken from the battery, ramps included
    double bus_v, battery_lowest_v;
    double winding_c, electronics_c;  // at the end
    std::string limited_by;           // what kept the current where it is
    bool complete;
};

struct SweepOutcome {
    int station_index, stand_index;
    int sweep_number;  // from 1, of this station
    double start_s, end_s;
    bool complete;
    std::string stopped_by;  // empty when complete
    double energy_wh;
    std::vector<StepOutcome> steps;
};

struct TimelineEntry {
    double start_s, end_s;
    std::string activity;  // one word: travel, set_up, wait, sweep, swap, rest, pack, stop
    int stand_index;       // -1: none
    int station_index;     // -1: none
    std::string text;
};

struct BatterySample {
    double time_s;
    int battery_number;  // from 1
    double terminal_v, current_a;
    double charge_available_fraction, charge_total_fraction;
    double temperature_c;
};

struct BatteryUse {
    int battery_number;
    double connected_s, disconnected_s;
    double delivered_ah, delivered_wh;
    double lowest_v, lowest_v_time_s;
    double left_fraction;  // of the charge usable at its temperature
    bool reached_cut_off;
    double cut_off_s;  // only if reached
};

/// Power signal-to-noise ratios of the channels for one polarisation; noise as planned (see
/// `natural_is_noise`).
struct ChannelSnr {
    double ex, ey, hx, hy, hz;
};

/// Judgement on one station and frequency.
enum class Verdict { usable, noisy, biased, near_zone, not_sent };
const char* word_of(Verdict verdict);

struct StationFrequency {
    int station_index, frequency_index;
    double frequency_hz;
    double offset_over_skin_depth;  // the rule of thumb, with the plane-wave apparent resistivity
    double dwell_a_s, dwell_b_s;    // added over the sweeps of the station
    double moment_a_a_m2, moment_b_a_m2;
    ChannelSnr snr_a, snr_b;  // natural field counted as noise
    double plane_resistivity_ohm_m, plane_phase_deg;
    double resistivity_xy_ohm_m, phase_xy_deg, resistivity_yx_ohm_m, phase_yx_deg;  // as recorded, noise-free
    // Error bars, the natural field counted as noise of E and H by themselves: the upper limit, which
    // decides. And tied_*: as the plane wave it is, E and H tied by the ground (model/ground/tied_noise.hpp).
    double resistivity_sd_xy_percent, phase_sd_xy_deg, resistivity_sd_yx_percent, phase_sd_yx_deg;
    double tied_resistivity_sd_xy_percent, tied_phase_sd_xy_deg, tied_resistivity_sd_yx_percent,
        tied_phase_sd_yx_deg;
    double
        natural_signal_sd_percent;  // of apparent resistivity, when the natural field is the signal instead
    double bias_xy_percent, bias_xy_deg, bias_yx_percent, bias_yx_deg;
    double h_condition_number;
    bool required;  // a target of the plan
    Verdict verdict;
    std::string reason;  // one line, with the number that decides
};

struct StandSummary {
    std::string name;
    double x_m, y_m;                     // north, east of the survey's origin
    double latitude_deg, longitude_deg;  // NaN when the plan gives local metres only
    double loop_azimuth_a_deg, loop_azimuth_b_deg;
    double keep_out_public_m, keep_out_occupational_m;
};

struct StationSummary {
    std::string name;
    int stand_index;
    double x_m, y_m;
    double offset_m, bearing_deg;  // from its stand
    int required_count, passed_count;
};

/// The stations were put into a shorter order than the plan's (ordered_day.hpp): the day as it is and,
/// kept_*, as the plan's own order would have it.
struct ImprovedOrder {
    bool exact;                              // no order is shorter; else none found
    bool unchanged;                          // the plan's own order is the shortest
    std::vector<std::string> kept_stations;  // in the plan's own order
    double moving_s, kept_moving_s;          // both crews' ways, and changes of the stand
    double receiver_s, kept_receiver_s;      // the receiver crew's way
    double receiver_m, kept_receiver_m;      // its straight lines, to and from the base not counted
    double kept_end_s;
    int kept_passed_count;
};

struct DayResult {
    std::string plan_path, plan_crc32, survey_name, survey_note;
    bool invented;
    std::string date;  // ISO 8601
    double utc_offset_h;
    std::vector<StandSummary> stands;
    std::vector<StationSummary> stations;
    std::vector<TableRow> table;
    std::string table_crc32;
    double table_duration_s;  // one sweep: settle, ramps, dwells and gaps of every step
    std::vector<double> frequencies_hz;
    std::vector<TimelineEntry> timeline;
    std::vector<SweepOutcome> sweeps;
    std::vector<BatterySample> battery_trace;
    std::vector<BatteryUse> batteries;
    double battery_cut_off_v;
    int batteries_carried, batteries_needed;
    std::string batteries_needed_why;
    std::vector<StationFrequency> judged;  // station by station, frequency by frequency
    double target_resistivity_percent, target_phase_deg, tolerance_bias_percent, tolerance_bias_deg;
    double end_s;    // of the day
    bool completed;  // every planned sweep was sent whole
    int required_count, passed_count;
    double energy_wh;
    std::vector<std::string> findings;  // what the reader should know first, most important first
    std::vector<std::string> cautions;
    std::optional<ImprovedOrder> order;  // empty: stations in the plan's own order
};

}  // namespace ampturn::plan
