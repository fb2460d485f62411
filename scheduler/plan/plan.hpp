#pragma once

#include <array>
#include <chrono>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "model/emission/emission_limits.hpp"
#include "model/loop/loop_selection.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/terrain/walk.hpp"

namespace ampturn::terrain {
class ExcludedAreas;
}

namespace ampturn::plan {

/// A plan as read from its file and found valid: plain values under the names of their keys, units at the
/// end of the name. Meaning, range, default and source of every key: docs/configuration.md, or
/// `ampturn explain KEY`. Initialisers here are the defaults of the keys; keys without a default are
/// initialised with zero and always come from the file. An empty optional means "the tool finds it".
///
/// Angles are degrees clockwise from true north, x north, y east, z down; amplitudes are peak unless the
/// name says rms; times of day are seconds from local midnight.

/// Version of the plan file's keys, the program's without its last number: a program reads files of its own.
inline constexpr const char* plan_version = "0.1";

struct Survey {
    std::string plan_version = plan::plan_version;
    std::string name;
    bool invented = false;  // invented scenario: every report says so
    std::string notes;
    std::string operator_name;
    std::chrono::year_month_day date{};  // default: not given, !date.ok()
    double utc_offset_h = 0;
    double declination_deg = 0;  // magnetic, east positive; field sheets show compass bearings with it
};

/// Pelton (1978): rho(w) = rho0 (1 - m (1 - 1/(1 + (i w tau)^c))).
struct ColeCole {
    double chargeability = 0;
    double time_constant_s = 0;
    double exponent = 0;
    std::string key;  // where it comes from: "earth.polarisable[2]"

    /// The same polarisability, wherever it comes from.
    bool operator==(const ColeCole& other) const {
        return chargeability == other.chargeability && time_constant_s == other.time_constant_s &&
               exponent == other.exponent;
    }
};

struct Ground {
    // One entry a layer from the top; thickness has one fewer. After loading, the lists below the first two
    // are either as long as resistivity_ohm_m (filled with 10, 1, 1 when not given) or, cole_cole, empty.
    std::vector<double> resistivity_ohm_m;
    std::vector<double> thickness_m;
    std::vector<double> relative_permittivity;
    std::vector<double> relative_permeability;
    std::vector<double> anisotropy;   // sqrt(vertical / horizontal resistivity)
    std::vector<ColeCole> cole_cole;  // chargeability 0: layer not polarisable

    bool operator==(const Ground&) const = default;
};

/// A ground that stations can stand on instead of Plan::earth.
struct NamedGround {
    std::string name;
    Ground ground;
};

/// Local plane, metres from the plan's origin, and the geographic point where known. Filled in by the loader
/// for sites and stations whichever way the file gives them.
struct Place {
    double x_m = 0;                                     // north
    double y_m = 0;                                     // east
    std::optional<double> latitude_deg, longitude_deg;  // WGS84
};

struct Site {
    std::string name;
    Place place;
    std::optional<double> loop_a_azimuth_deg, loop_b_azimuth_deg;  // override the loops' own azimuths here
};

struct Interferer {
    std::string name;
    double frequency_hz = 0;
    double half_width_hz = 0;
    double b_nt = 0;  // rms, horizontal; 0: not known, the band is only avoided
    bool operator==(const Interferer&) const = default;
};

/// Density of the horizontal natural field, read from the file named in the plan.
struct NaturalSpectrum {
    std::vector<double> frequency_hz;   // rising
    std::vector<double> b_pt_per_rthz;  // as many
};

/// An overhead line whose mains field falls as a power of the distance to it.
struct PowerLine {
    std::string name;
    std::vector<Place> points;     // two or more, joined by straight lines (geodesics where geographic)
    double mains_b_nt = 0;         // rms of the fundamental, horizontal, at_distance_m from the line
    double at_distance_m = 0;      // along the ground
    double fall_off_exponent = 0;  // 1: unbalanced current; 2: balanced three-phase
};

/// A receiver crew with what it carries; what is empty is the day's. A plan without any has one, without a name
/// (receiver_crew.hpp).
struct ReceiverCrew {
    std::string name;
    std::optional<int> people;
    int sensor_sets = 1;  // stations it can have standing at once
    std::optional<double> set_up_min, pack_up_min;
};

/// A station. What is its own where it has it, and the survey's where it has not, is asked for through station_own.hpp.
struct Station {
    std::string name;
    std::string site;
    int site_index = 0;  // of Plan::sites
    Place place;
    double offset_m = 0;     // from its site, along the WGS84 geodesic or in the local plane
    double bearing_deg = 0;  // from its site to the station, 0 to 360
    int sweeps = 1;
    std::vector<double> required_frequencies_hz;   // empty: all of the sweep
    int crew_index = 0;                            // of Plan::receiver_crews; 0 when there are none
    std::optional<double> set_up_min;              // instead of its crew's and day.receiver_set_up_min
    std::optional<double> mains_b_nt;              // instead of noise.mains_b_nt and power lines
    std::optional<double> contact_resistance_ohm;  // instead of the sensors' or the receiver's
    std::optional<int> ground_index;               // of Plan::grounds; empty: Plan::earth
    std::optional<int> sensors_index;              // of Plan::sensor_sets; empty: those of Plan::receiver
    std::string spectrum_csv;                      // instead of noise.spectrum_csv; empty: the survey's
    std::optional<NaturalSpectrum> spectrum;       // its content
    std::optional<double> natural_azimuth_deg;     // instead of noise.natural_azimuth_deg
    std::vector<Interferer> interferers;           // heard here beside those of the survey
    double power_lines_b_nt = 0;                   // rms of the fundamental, of all Plan::power_lines

    /// Whether it asks for a frequency: it names it to within a thousandth, or names none and asks for all.
    bool requires_frequency(double frequency_hz) const;
};

enum class LoopShape { square, rectangle, rhombus, triangle, regular_polygon, circle, polygon };
enum class Conductor { copper, aluminium };

struct Loop {
    LoopShape shape = LoopShape::square;
    double side_m = 0;      // square, regular_polygon
    double width_m = 0;     // rectangle; rhombus: horizontal diagonal; triangle: base
    double height_m = 0;    // rectangle; rhombus: vertical diagonal; triangle: base to apex
    double diameter_m = 0;  // circle
    int corners = 0;        // regular_polygon
    std::vector<std::array<double, 2>> vertices_m;  // polygon: in the loop's plane, (right, up), any origin
    int turns = 0;
    std::vector<int> taps;        // turns in use that can be chosen besides all of them; rising
    double wire_area_mm2 = 0;     // one of the two is given; filled in from the other by the loader
    std::optional<int> wire_awg;  // kept for the report when the file says so
    int wire_strands = 1;         // insulated from each other (litz) when above 1
    double turn_pitch_m = 0.005;  // centre to centre of neighbouring turns in the bundle
    Conductor conductor = Conductor::copper;
    double centre_height_m = 0;      // of the area's centre above ground
    double azimuth_deg = 0;          // of the normal's horizontal part
    double tilt_deg = 0;             // normal below the horizon: 0 upright loop, 90 flat loop, normal down
    double lead_length_m = 0;        // two-core lead from unit to loop, one way, same wire
    double lead_resistance_ohm = 0;  // plugs and leads beside the wire, in series
};

enum class Supply { battery_direct, dc_dc };
enum class CurrentLimit { duty, latched, clamp };
enum class LimitQuantity { peak, rms };

struct CapacitorBank {
    std::vector<double> capacitance_f;  // one after the other can be put in series with the loop; empty: none
    std::vector<double> rated_v_peak;   // one for all, or one each
    double tolerance_fraction = 0.05;
    double loss_tangent = 0.001;
    std::optional<double> bleed_resistor_ohm;
};

enum class IdleLoop { open, closed };

struct Driver {
    Supply supply = Supply::battery_direct;
    double bus_v = 0;  // of the DC-DC; ignored for battery_direct
    double dc_dc_efficiency = 0.92;
    std::optional<double> dc_dc_limit_w;  // output power it can give
    double rds_on_ohm = 0.01;             // one switch at 25 C; two conduct at a time
    double rds_on_temp_per_k = 0.006;
    double dead_time_s = 500e-9;
    double overlap_time_s = 50e-9;
    double quiescent_w = 3;
    double gate_energy_j = 1.5e-6;  // per switch and cycle
    double duty = 1;                // 1 square, below: quasi-square
    CurrentLimit current_limit = CurrentLimit::duty;
    LimitQuantity current_limit_quantity = LimitQuantity::rms;
    double current_limit_a = 0;
    bool both_loops = false;  // can drive A and B together in quadrature
    IdleLoop idle_loop = IdleLoop::open;
    CapacitorBank capacitors;
    std::uint64_t clock_hz = 24'000'000;
    double clock_error_ppm = 1;
};

enum class Chemistry { lead_acid_flooded, agm, lifepo4 };

struct Battery {
    Chemistry chemistry = Chemistry::agm;
    double capacity_ah = 0;  // of one battery as carried, at 25 C, at the rated discharge time
    double rated_hours = 20;
    std::optional<int> cells_series;  // in one battery; empty: by chemistry
    int in_series = 1;                // batteries joined
    int in_parallel = 1;              // strings joined
    // Kinetic model (Manwell & McGowan 1993); empty: c by chemistry, k from what one hour gives.
    std::optional<double> kinetic_c, kinetic_k_per_h;
    std::optional<double>
        one_hour_fraction;  // of capacity_ah that a new battery gives in one hour; empty: by chemistry
    std::optional<double> cell_resistance_ohm;            // one cell at 25 C, full
    std::vector<double> ocv_state_of_charge, ocv_cell_v;  // both empty: by chemistry
    double cut_off_v = 0;                                 // at the terminals of one joined set, under load
    double under_voltage_delay_s = 0.5;
    int sets_carried = 1;                      // joined sets that can be swapped in turn
    std::vector<double> state_of_health{1.0};  // capacity left by age; one for all sets or one each
    std::vector<double> state_of_charge{1.0};  // at start; one for all sets or one each
    std::optional<double> temperature_c;       // kept all day; empty: it follows the air

    int cells() const;                               // in one battery
    double health_of(int set_index) const;           // 0 <= set_index < sets_carried
    double state_of_charge_of(int set_index) const;  // 0 <= set_index < sets_carried
};

struct Thermal {
    std::optional<double> winding_heat_j_per_k;  // empty: that of the conductor of the lighter loop
    double winding_to_air_k_per_w = 0.35;
    double winding_limit_c = 70;
    double electronics_heat_j_per_k = 420;
    double electronics_to_air_k_per_w = 1.8;
    double electronics_limit_c = 80;
    std::optional<double> winding_to_electronics_k_per_w;
    double restart_margin_k = 10;  // rest ends this much below both limits
};

/// Times and thresholds of the unit's state machine.
struct Unit {
    double arm_timeout_s = 120;
    double warning_s = 5;
    double over_current_factor = 1.25;  // trips above this times the step's target peak current
    double open_loop_ohm = 50;
    double shorted_loop_ohm = 0.01;
    int adc_bits = 12;  // of the unit's own measurements
};

enum class SweepOrder { each, whole };      // A then B at each frequency; whole sweep with A, then with B
enum class Align { none, second, minute };  // to UTC marks

/// One step of the table the unit runs; loop order is already expanded here.
struct Step {
    double frequency_hz = 0;
    model::loop::LoopSelection loop = model::loop::LoopSelection::a;
    std::optional<int> turns_in_use;  // empty: the best tap is found
    std::optional<int> capacitor;     // 0 none, 1.. of the bank counted from 1; empty: the best is found
    double dwell_s = 0;
    double min_dwell_s = 0;
    double max_dwell_s = 0;
    double current_a_peak = 0;  // target, fundamental
    int ramp_cycles = 0;
    double settle_s = 0;
    double gap_s = 0;
    Align align = Align::none;
    bool of_list = false;  // it comes from sweep.frequencies_hz, else from [[sweep.step]]
    int entry = 0;         // of that list or of those tables, from 1

    /// Where it comes from: "sweep.step[3]", "sweep.frequencies_hz[3]".
    std::string key() const;
};

struct Sweep {
    std::string name;
    SweepOrder order = SweepOrder::each;
    Align start_align = Align::minute;       // of the first step
    std::vector<Step> steps;                 // 1 to 64
    bool coherent_records = false;           // dwell is a whole number of receiver records
    std::optional<double> time_budget_s;     // one sweep; for `tune`
    std::optional<double> energy_budget_wh;  // one sweep; for `tune`

    std::vector<double> frequencies_hz() const;  // each once, in order of first use
};

enum class Coil { long_coil, medium, miniature, custom };

/// A window over a record; `parameter` is the taper fraction of tukey or the power of cosine, else 0.
struct Window {
    enum class Kind { rectangular, hann, hamming, blackman, blackman_harris, tukey, cosine };
    Kind kind = Kind::hann;
    double parameter = 0;

    static const Window rectangular, hann, hamming, blackman, blackman_harris;
    bool operator==(const Window&) const = default;
};
inline constexpr Window Window::rectangular{Kind::rectangular}, Window::hann{Kind::hann},
    Window::hamming{Kind::hamming}, Window::blackman{Kind::blackman},
    Window::blackman_harris{Kind::blackman_harris};

/// What becomes of the low-pass that contact resistance and the wire's capacitance to ground are: left in the records,
/// divided out of them, or kept away by amplifiers at the electrodes.
enum class WireLowPass { as_recorded, corrected, buffered };

struct Receiver {
    double sample_rate_hz = 0;
    int record_length = 0;  // samples in one FFT record
    Window window = Window::hann;
    double dipole_m = 50;  // Ex and Ey
    double contact_resistance_ohm = 3000;
    double wire_capacitance_f_per_m = 20e-12;
    WireLowPass wire_low_pass = WireLowPass::as_recorded;
    double amplifier_v_per_rthz = 5e-9;
    double amplifier_a_per_rthz = 10e-15;
    Coil coil = Coil::medium;
    double coil_a_pt = 0, coil_floor_pt_per_rthz = 0, coil_b_pt_per_hz = 0;  // filled in from the class
    bool vertical_coil = false;                                              // Hz is recorded too
    int adc_bits = 24;
    double e_full_scale_v = 1;
    double b_full_scale_nt = 100;
    double clock_error_ppm = 0.1;
    // Standard deviations that no dwell takes away.
    double calibration_percent = 1;  // of each sensor's gain
    double azimuth_error_deg = 0.5;  // of each sensor
    double level_error_deg = 0.5;    // of each coil

    /// Of a dipole's wire to ground, as the electrode at its end sees it: half of it.
    double wire_capacitance_f() const { return wire_capacitance_f_per_m * dipole_m / 2; }
};

/// Sensors that stations can have instead of the receiver's own; what is empty is the receiver's.
struct SensorSet {
    std::string name;
    std::optional<double> dipole_m, contact_resistance_ohm;
    std::optional<Coil> coil;
    double coil_a_pt = 0, coil_floor_pt_per_rthz = 0,
           coil_b_pt_per_hz = 0;  // of `coil`; filled in from the class
};

enum class NaturalNoise { quiet_day, typical, summer_night };

/// Between the points of a spectrum: straight lines over logarithms of both scales, or over the scales themselves.
enum class Interpolation { log_log, linear };

struct Noise {
    NaturalNoise natural = NaturalNoise::typical;
    std::vector<NaturalNoise> natural_by_hour;  // empty, or 24 entries: local hour 0 to 23
    std::string spectrum_csv;                   // as given, beside the plan file; empty: the model
    std::optional<NaturalSpectrum> spectrum;    // its content
    Interpolation spectrum_interpolation = Interpolation::log_log;
    double natural_factor = 1;                  // times the model's amplitude
    std::optional<double> natural_azimuth_deg;  // of the stronger horizontal H; empty: none is stronger
    double natural_along_fraction = 0.75;       // of the power of H, along that azimuth
    double mains_hz = 50;                       // 0: none anywhere near
    double mains_b_nt = 0.1;                    // rms of the fundamental
    bool weak_grid = false;
    int mains_orders = 2000;
    std::vector<Interferer> interferers;
};

enum class Element { xx, xy, yx, yy };

struct Targets {
    double rho_error_percent = 5;  // one standard deviation
    double phase_error_deg = 2;    // one standard deviation
    double rho_bias_percent = 5;   // against the plane wave
    double phase_bias_deg = 2;
    double near_field_bias_percent = 50;  // beyond one of these two a reading is called near field
    double near_field_bias_deg = 15;
    std::vector<Element> elements{Element::xy, Element::yx};
    double rule_of_thumb_skin_depths = 4;  // shown beside the computed verdict, never used for it
};

enum class SwapRule { never, at_cut_off, between_sweeps, at_site };

struct Leg {
    std::string from, to;  // names of sites and stations, or "base"
    double minutes = 0;
};

struct Day {
    double start_s = 8 * 3600.0;  // crews leave the base; seconds from local midnight
    double end_s = 17 * 3600.0;   // must be back at the base
    int crew_transmitter = 2, crew_receiver = 2;
    double briefing_min = 5;
    double transmitter_set_up_min = 70;
    double transmitter_pack_up_min = 25;
    double receiver_set_up_min = 30;
    double receiver_pack_up_min = 10;
    double agree_min = 2;       // table, start mark and order agreed by radio before each sweep
    double quick_look_min = 5;  // after each sweep
    double battery_swap_min = 4;
    double walking_speed_km_h = 3;  // between places without a leg of their own
    std::vector<Leg> legs;          // hold both ways
    SwapRule swap_rule = SwapRule::at_cut_off;
    double swap_below_fraction = 0.3;      // between_sweeps, at_site: swap when less charge is left
    std::vector<double> temperature_hour;  // rising, 0 to 24; straight lines between, flat outside
    std::vector<double> temperature_c;     // as many; both empty: 15 C all day

    double air_temperature_c(double time_of_day_s) const;
};

/// Areas and lines on the map; files stand beside the plan file.
struct Areas {
    std::string exclusion_geojson;                           // as given; empty: none
    std::string tracks_geojson;                              // as given; empty: none
    double track_speed_factor = 1.5;                         // times the speed on open ground
    std::optional<double> site_walk_max_min;                 // for sites that are searched
    std::shared_ptr<const terrain::ExcludedAreas> excluded;  // content of exclusion_geojson
};

/// Heights, for walking and for remarks; fields are those of flat ground.
struct Terrain {
    std::string elevation_grid;  // as given; empty: level ground
    terrain::SlopeRule walking_rule = terrain::SlopeRule::tobler;
    std::optional<double> site_slope_max_deg;                 // for sites that are searched
    double flat_relief_fraction = 0.25;                       // of the smaller of offset and skin depth
    std::shared_ptr<const terrain::ElevationGrid> elevation;  // content of elevation_grid
};

/// One day of a survey of several: what is its own beside Day.
struct SurveyDay {
    std::chrono::year_month_day date{};
    double start_s = 0, end_s = 0;  // as Day's, which they are where the file gives none
    std::vector<int> stations;      // of Plan::stations, in the order of the day; empty: what is still open
    bool charge = true;             // in the night after it
};

enum class ChargingSupply { mains, generator, vehicle };

/// How batteries are charged between two survey days.
struct Charging {
    double charger_w = 0;  // one charger gives, at the battery's terminals
    int chargers = 1;      // at work at once
    double hours = 0;      // of a night
    double efficiency = 0.85;
    double place_temperature_c = 15;
    ChargingSupply supply = ChargingSupply::mains;
    std::optional<double> supply_w;   // it can give to all chargers together; empty: no limit
    std::optional<double> supply_wh;  // it can give in a night; empty: no limit
};

enum class ExposureSet { icnirp, eu, own };

struct Safety {
    ExposureSet exposure_levels = ExposureSet::icnirp;
    std::optional<double> own_public_b_ut,
        own_occupational_b_ut;  // rms, at every frequency; with ExposureSet::own
    double keep_out_margin_m = 2;
    double wind_raise_limit_m_s = 8;
    double wind_lower_mean_m_s = 12;
    double wind_lower_gust_m_s = 17;
    double lightning_flash_to_bang_s = 30;
    double lightning_wait_min = 30;
    double safe_capacitor_v = 50;
};

/// A limit of field strength of the plan's own; one of the two strengths is given.
struct OwnEmissionLimit {
    std::string name;
    double low_hz = 0, high_hz = 0;
    double distance_m = 0;                             // from the loop's nearest part
    std::optional<double> h_dbua_per_m, e_dbuv_per_m;  // rms
};

struct AvoidedService {
    std::string name;
    double low_hz = 0, high_hz = 0;
    std::string source = "the plan";
    bool holds(double frequency_hz) const { return frequency_hz >= low_hz && frequency_hz <= high_hz; }
};

/// What the field strength is held against, and which services the sweep keeps clear of.
struct Emission {
    std::vector<model::emission::LimitTable> limit_tables;
    std::vector<OwnEmissionLimit> limits;
    bool built_in_services = true;
    std::vector<AvoidedService> services;  // besides the built-in ones, or instead of them
};

/// Standard deviations of what is not known exactly, for Monte Carlo runs.
struct Uncertainty {
    double capacity_fraction = 0.05;
    double temperature_c = 2;
    double resistivity_decades = 0.1;  // of each layer, log10
    double natural_noise_db = 4;
    double mains_db = 6;
    double times_fraction = 0.25;  // set-up, pack-up and legs; log-normal
    double cell_resistance_fraction = 0.1;
    double moment_fraction = 0.02;
    double loop_azimuth_deg = 1, loop_tilt_deg = 1;  // of each loop
    double loop_area_fraction = 0.01;                // of each loop
};

enum class QuestionKind { two_grounds, depth };

struct Question {
    std::string text;
    QuestionKind kind = QuestionKind::two_grounds;
    Ground with_target;   // two_grounds: the other ground; without it: the one the stations stand on
    int interface = 0;    // depth: counted from 1 from the top of the ground the stations stand on
    double within_m = 0;  // depth: to be known within this
    double confidence = 0.95;
    std::vector<std::string> stations;  // empty: all
};

struct SourceFile {
    std::string path;  // as given
    std::uint64_t size_bytes = 0;
    std::uint32_t crc32 = 0;  // of its bytes
};

/// Where each key stands in the file. Full keys, lists counted from 1: "sweep.step[3].frequency_hz".
class KeyPositions {
  public:
    void add(const std::string& key, base::Position position) { positions_.emplace(key, position); }
    /// Of the key itself, else of the nearest key above it that stands in the file, else {0, 0}.
    base::Position of(const std::string& key) const;
    bool given(const std::string& key) const { return positions_.contains(key); }

  private:
    std::map<std::string, base::Position> positions_;
};

struct Plan {
    SourceFile source;
    KeyPositions positions;

    Survey survey;
    Ground earth;  // where a station has no ground of its own
    std::vector<NamedGround> grounds;
    std::vector<Site> sites;        // at least one
    std::vector<Station> stations;  // at least one
    std::vector<PowerLine> power_lines;
    Loop loop_a, loop_b;
    Driver driver;
    Battery battery;
    Thermal thermal;
    Unit unit;
    Sweep sweep;
    Receiver receiver;
    std::vector<SensorSet> sensor_sets;
    std::vector<ReceiverCrew> receiver_crews;  // empty: one, with what [day] says
    Noise noise;
    Targets targets;
    Day day;
    Areas areas;
    Terrain terrain;
    std::shared_ptr<const terrain::Walk> walk;  // null without tracks and heights: straight and level
    std::vector<SurveyDay> survey_days;         // by date; empty: the plan is of one day
    std::optional<Charging> charging;
    Safety safety;
    std::optional<Emission> emission;
    Uncertainty uncertainty;
    std::optional<Question> question;

    const Loop& loop(model::loop::LoopSelection which) const {  // loop A for `both`
        return which == model::loop::LoopSelection::b ? loop_b : loop_a;
    }
    /// Azimuth of a loop's normal at a site.
    double loop_azimuth_deg(model::loop::LoopSelection which, int site_index) const;
    /// The key a value of a step stands under: the step's own, else the sweep's where all steps share it.
    std::string key_of(const Step& step, const std::string& name) const;
    /// For errors found later than loading: points at the key in the plan file.
    base::InputError error(const std::string& key, std::string found, std::string allowed) const;
};

}  // namespace ampturn::plan
