#pragma once

#include <array>
#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan::file {

/// A plan the way its file gives it, before places are worked out, lists filled and loop order expanded.
/// Only where it differs from Plan; see config_expand.hpp.

struct PolarisableLayer {
    int layer = 0;  // from 1
    double chargeability = 0;
    double time_constant_s = 0;
    double exponent = 0;
};

struct GroundInput {
    std::vector<double> resistivity_ohm_m, thickness_m, relative_permittivity, relative_permeability,
        anisotropy;
    std::vector<PolarisableLayer> polarisable;
};

struct NamedGroundInput : GroundInput {
    std::string name;
};

struct SiteInput {
    std::string name;
    std::optional<double> latitude_deg, longitude_deg, x_m, y_m;
    std::optional<double> loop_a_azimuth_deg, loop_b_azimuth_deg;
};

struct StationInput {
    std::string name, site;
    std::optional<double> latitude_deg, longitude_deg, x_m, y_m, offset_m, bearing_deg;
    int sweeps = 1;
    std::vector<double> required_frequencies_hz;
    std::optional<double> set_up_min, mains_b_nt, contact_resistance_ohm, natural_azimuth_deg;
    std::string crew, ground, sensors, spectrum_csv;
    std::vector<Interferer> interferers;
};

struct PowerLineInput {
    std::string name;
    std::vector<std::array<double, 2>> longitude_latitude_deg, x_y_m;  // one of the two
    double mains_b_nt = 0, at_distance_m = 0, fall_off_exponent = 0;
};

struct LoopsInput {
    Loop a, b;
};

enum class StepLoop { a, b, each, quadrature };

struct StepInput {
    double frequency_hz = 0;
    std::optional<StepLoop> loop;
    std::optional<int> turns_in_use, capacitor, ramp_cycles;
    std::optional<double> dwell_s, min_dwell_s, max_dwell_s, current_a_peak, settle_s, gap_s;
    std::optional<Align> align;
};

struct SweepInput {
    std::string name;
    SweepOrder order = SweepOrder::each;
    Align start_align = Align::minute;
    StepLoop loop = StepLoop::each;
    std::vector<double> frequencies_hz;
    std::vector<StepInput> steps;
    std::optional<int> turns_in_use, capacitor;
    double dwell_s = 20;
    double min_dwell_s = 1;
    double max_dwell_s = 600;
    double current_a_peak = 0;
    int ramp_cycles = 8;
    double settle_s = 0.2;
    double gap_s = 1;
    Align align = Align::none;
    bool coherent_records = false;
    std::optional<double> time_budget_s, energy_budget_wh;
};

struct QuestionInput {
    std::string text;
    QuestionKind kind = QuestionKind::two_grounds;
    std::optional<GroundInput> with_target;
    int interface = 0;
    double within_m = 0;
    double confidence = 0.95;
    std::vector<std::string> stations;
};

struct SurveyDayInput {
    std::chrono::year_month_day date{};
    std::optional<double> start_s, end_s;
    std::vector<std::string> stations;
    bool charge = true;
};

struct PlanInput {
    Survey survey;
    GroundInput earth;
    std::vector<NamedGroundInput> grounds;
    std::vector<SiteInput> sites;
    std::vector<StationInput> stations;
    std::vector<PowerLineInput> power_lines;
    LoopsInput loops;
    Driver driver;
    Battery battery;
    Thermal thermal;
    Unit unit;
    SweepInput sweep;
    Receiver receiver;
    std::vector<SensorSet> sensor_sets;
    std::vector<ReceiverCrew> receiver_crews;
    Noise noise;
    Targets targets;
    Day day;
    Areas areas;
    Terrain terrain;
    std::vector<SurveyDayInput> survey_days;
    std::optional<Charging> charging;
    Safety safety;
    std::optional<Emission> emission;
    Uncertainty uncertainty;
    std::optional<QuestionInput> question;
};

}  // namespace ampturn::plan::file
