#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/day/activity.hpp"
#include "scheduler/day/finding.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/reading/reading.hpp"
#include "scheduler/setup/keep_out.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::day {

/// What a simulated day gives: plain data, filled by day.cpp, written by day_json, day_tables, day_text and
/// report. Times are seconds after local midnight of the day unless the name says otherwise; amplitudes are peak.

struct TimelineEntry {
    double start_s, end_s;
    Activity activity;
    int site_index;     // -1: none
    int station_index;  // -1: none, or several listen
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

struct SiteSummary {
    std::string name;
    double x_m, y_m;                     // north, east of the survey's origin
    double latitude_deg, longitude_deg;  // NaN when the plan gives local metres only
    double loop_azimuth_a_deg, loop_azimuth_b_deg;
    double keep_out_public_m, keep_out_occupational_m;
    setup::ExposureField public_decided_by, occupational_decided_by;
};

struct StationSummary {
    std::string name;
    int site_index;
    double x_m, y_m;
    double offset_m, bearing_deg;  // from its site
    int required_count, passed_count;
    int crew_index = 0;  // of DayResult::receiver_crews, where there are any
};

/// A receiver crew of the plan.
struct CrewSummary {
    std::string name;
    int people, sensor_sets;
    double back_s;  // at the base; NaN: it sets up no station and stayed there
};

/// The stations were put into a shorter order than the plan's (scheduler/order): the day as it is and,
/// planned_*, as the plan's own order would have it.
struct ImprovedOrder {
    bool exact;                                 // no order is shorter; else none found
    bool unchanged;                             // the plan's own order is the shortest
    std::vector<std::string> planned_stations;  // in the plan's own order
    double moving_s, planned_moving_s;          // both crews' ways, and changes of the site
    double receiver_s, planned_receiver_s;      // the receiver crew's way
    double receiver_m, planned_receiver_m;      // its straight lines, to and from the base not counted
    double planned_end_s;
    int planned_passed_count;
};

/// Crews, order and groups were put together anew (order/crew_order.hpp): the day as it is and, planned_*, as the plan
/// itself has it. by_times: by the crews' times alone, every sweep sent at once and the day without an end.
struct ImprovedCrews {
    struct ByTimes {
        double end_s;
        int sweeps;
    };
    bool exact;            // none that visits each site once is better; else none found
    bool unchanged;        // the plan's own is kept
    bool better_by_times;  // one was better by times; if kept all the same, not on the day
    std::vector<std::string> planned_stations;  // in the plan's own order
    std::vector<int> planned_crews;             // of these
    ByTimes by_times, planned_by_times;
    ByTimes bound;  // no arrangement is below either (order/crew_day.hpp)
    double planned_end_s;
    int planned_passed_count;
};

/// Where the count of battery sets to carry gives up.
inline constexpr int battery_sets_tried_most = 24;

struct DayResult {
    std::string plan_path, plan_crc32, survey_name, survey_note;
    bool invented;
    std::string date;  // ISO 8601
    double utc_offset_h;
    std::vector<SiteSummary> sites;
    std::vector<StationSummary> stations;
    std::vector<CrewSummary> receiver_crews;  // empty: one, without a name, one station standing at a time
    std::vector<setup::TableRow> table;
    std::string table_crc32;
    setup::PlanningCondition table_made_for;
    double table_duration_s;  // one sweep: settle, ramps, dwells and gaps of every step
    std::vector<double> frequencies_hz;
    std::vector<TimelineEntry> timeline;
    std::vector<SweepOutcome> sweeps;
    std::vector<BatterySample> battery_trace;
    std::vector<BatteryUse> batteries;
    double battery_cut_off_v;
    int batteries_carried, batteries_needed;
    bool batteries_needed_suffice;           // false: even battery_sets_tried_most do not carry the day
    std::vector<reading::Reading> readings;  // station by station, frequency by frequency
    double target_resistivity_percent, target_phase_deg, tolerance_bias_percent, tolerance_bias_deg;
    double person_hours;  // of all crews, each from the start until it is back at the base
    double end_s;         // of the day
    bool completed;       // every planned sweep was sent whole
    int required_count, passed_count;
    std::optional<int> passed_with_flat_coils;  // setup::with_flat_coils(); empty for a custom coil
    double energy_wh;
    std::vector<Finding> findings;  // what the reader should know first, most important first
    std::vector<std::string> cautions;
    std::optional<ImprovedOrder> order;       // empty: stations in the plan's own order
    std::optional<ImprovedCrews> crew_order;  // empty: and with the plan's own crews
};

}  // namespace ampturn::day
