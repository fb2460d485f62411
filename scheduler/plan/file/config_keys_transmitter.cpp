#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

constexpr std::string_view assumed = "common practice, no source";

}  // namespace

const Words<Conductor>& conductor_words() {
    static const Words<Conductor> words{{Conductor::copper, "copper"}, {Conductor::aluminium, "aluminium"}};
    return words;
}

Section<Loop> loop_keys() {
    const Words<LoopShape> shapes{{LoopShape::square, "square"},
                                  {LoopShape::rectangle, "rectangle"},
                                  {LoopShape::rhombus, "rhombus"},
                                  {LoopShape::triangle, "triangle"},
                                  {LoopShape::regular_polygon, "regular_polygon"},
                                  {LoopShape::circle, "circle"},
                                  {LoopShape::polygon, "polygon"}};
    constexpr NumberRange length{.unit = "m", .min = 0, .max = 1000, .min_excluded = true};
    Section<Loop> keys;
    keys.choice("shape", &Loop::shape, shapes,
                {.help = "Shape of the loop: a square or rectangle stands on a side, a rhombus on a corner, "
                         "a triangle is isosceles on its base, polygon has free corners.",
                 .required = true})
        .number("side_m", &Loop::side_m, length,
                {.help = "Side of a square or regular polygon.", .when_absent = "other shapes"})
        .number("width_m", &Loop::width_m, length,
                {.help = "Width of a rectangle, horizontal diagonal of a rhombus, base of a triangle.",
                 .when_absent = "other shapes"})
        .number("height_m", &Loop::height_m, length,
                {.help = "Height of a rectangle or triangle, vertical diagonal of a rhombus.",
                 .when_absent = "other shapes"})
        .number("diameter_m", &Loop::diameter_m, length,
                {.help = "Diameter of a circle.", .when_absent = "other shapes"})
        .whole(
            "corners", &Loop::corners, {.min = 3, .max = 64},
            {.help = "Corners of a regular polygon, which stands on a side.", .when_absent = "other shapes"})
        .points("vertices_m", &Loop::vertices_m, {.unit = "m", .min = -1000, .max = 1000}, {3, 64},
                {.help = "Corners of a polygon in order, each [right, up] in the loop's plane as seen when "
                         "looking along its normal; any origin.",
                 .when_absent = "other shapes"})
        .whole("turns", &Loop::turns, {.min = 1, .max = 1000}, {.help = "Turns wound.", .required = true})
        .wholes("taps", &Loop::taps, {.min = 1, .max = 999}, {1, 7},
                {.help = "Turns in use that can be chosen besides all of them, rising.",
                 .when_absent = "no taps"})
        .number("wire_area_mm2", &Loop::wire_area_mm2, {.unit = "mm2", .min = 0.01, .max = 500},
                {.help = "Copper section of the wire.", .when_absent = "wire_awg instead"})
        .whole(
            "wire_awg", &Loop::wire_awg, {.unit = "AWG", .min = 0, .max = 40},
            {.help = "American wire gauge.", .source = "ASTM B258", .when_absent = "wire_area_mm2 instead"})
        .whole("wire_strands", &Loop::wire_strands, {.min = 1, .max = 10'000},
               {.help = "Strands insulated from each other; 1 for solid wire and for common stranded wire."})
        .number(
            "turn_pitch_m", &Loop::turn_pitch_m, {.unit = "m", .min = 0, .max = 1, .min_excluded = true},
            {.help = "Centre to centre of neighbouring turns in the bundle; at least the wire's diameter.",
             .source = assumed})
        .choice("conductor", &Loop::conductor, conductor_words(),
                {.help = "Metal of the wire.", .source = "IEC 60028 for copper"})
        .number("centre_height_m", &Loop::centre_height_m, {.unit = "m", .min = 0, .max = 100},
                {.help = "Height of the area's centre above ground; no part of the loop lies below ground.",
                 .required = true})
        .number("azimuth_deg", &Loop::azimuth_deg, {.unit = "deg", .min = -360, .max = 360},
                {.help = "Azimuth of the normal's horizontal part, from true north; "
                         "the current runs clockwise as seen when looking along the normal.",
                 .required = true})
        .number("tilt_deg", &Loop::tilt_deg, {.unit = "deg", .min = -90, .max = 90},
                {.help = "How far the normal points below the horizon: "
                         "0 an upright loop, 90 a flat loop whose normal points down."})
        .number("lead_length_m", &Loop::lead_length_m, {.unit = "m", .min = 0, .max = 500},
                {.help = "Two-core lead between unit and loop, one way, of the loop's wire."})
        .number("lead_resistance_ohm", &Loop::lead_resistance_ohm, {.unit = "ohm", .min = 0, .max = 100},
                {.help = "Plugs and switches in series with the loop."});
    return keys;
}

namespace {

Section<CapacitorBank> capacitor_keys() {
    Section<CapacitorBank> keys;
    keys.numbers("capacitance_f", &CapacitorBank::capacitance_f,
                 {.unit = "F", .min = 0, .max = 0.1, .min_excluded = true}, {1, 32},
                 {.help = "Capacitors that can be switched in series with the loop, one at a time.",
                  .when_absent = "none: the loop is driven untuned"})
        .numbers("rated_v_peak", &CapacitorBank::rated_v_peak,
                 {.unit = "V", .min = 0, .max = 1e5, .min_excluded = true}, {1, 32},
                 {.help = "Peak voltage they stand: one for all or one each.",
                  .when_absent = "needed with capacitance_f"})
        .number("tolerance_fraction", &CapacitorBank::tolerance_fraction, {.min = 0, .max = 0.5},
                {.help = "True capacitance lies within plus or minus this of the nominal one.",
                 .source = assumed})
        .number("loss_tangent", &CapacitorBank::loss_tangent, {.min = 0, .max = 0.5},
                {.help = "Loss tangent, for heat and for the current at resonance.",
                 .source = "common practice, no source: film capacitors 0.0002 to 0.002"})
        .number("bleed_resistor_ohm", &CapacitorBank::bleed_resistor_ohm,
                {.unit = "ohm", .min = 1, .max = 1e9},
                {.help = "Resistor across each capacitor that discharges it.",
                 .when_absent = "none: flagged, a capacitor then stays charged"});
    return keys;
}

}  // namespace

Section<Driver> driver_keys() {
    const Words<Supply> supplies{{Supply::battery_direct, "battery_direct"}, {Supply::dc_dc, "dc_dc"}};
    const Words<CurrentLimit> limits{
        {CurrentLimit::duty, "duty"}, {CurrentLimit::latched, "latched"}, {CurrentLimit::clamp, "clamp"}};
    const Words<IdleLoop> idle{{IdleLoop::open, "open"}, {IdleLoop::closed, "closed"}};
    const Words<LimitQuantity> quantities{{LimitQuantity::peak, "peak"}, {LimitQuantity::rms, "rms"}};
    Section<Driver> keys;
    keys.choice(
            "supply", &Driver::supply, supplies,
            {.help = "battery_direct: the bridge's bus is the battery. "
                     "dc_dc: a converter holds the bus at bus_v and loads the battery with constant power."})
        .number("bus_v", &Driver::bus_v, {.unit = "V", .min = 1, .max = 2000},
                {.help = "Bus voltage of the converter.", .when_absent = "needed with supply = \"dc_dc\""})
        .number("dc_dc_efficiency", &Driver::dc_dc_efficiency, {.min = 0.1, .max = 1},
                {.help = "Converter output power over input power.", .source = assumed})
        .number("dc_dc_limit_w", &Driver::dc_dc_limit_w,
                {.unit = "W", .min = 0, .max = 1e6, .min_excluded = true},
                {.help = "Largest output power of the converter.", .when_absent = "no limit"})
        .number("rds_on_ohm", &Driver::rds_on_ohm, {.unit = "ohm", .min = 0, .max = 10},
                {.help = "On-resistance of one switch at 25 C; two conduct at any time.", .source = assumed})
        .number("rds_on_temp_per_k", &Driver::rds_on_temp_per_k, {.unit = "1/K", .min = 0, .max = 0.05},
                {.help = "Rise of the on-resistance with temperature, relative to 25 C.", .source = assumed})
        .number("dead_time_s", &Driver::dead_time_s, {.unit = "s", .min = 0, .max = 1e-3},
                {.help = "Both switches of a half-bridge off between two half periods.", .source = assumed})
        .number("overlap_time_s", &Driver::overlap_time_s, {.unit = "s", .min = 0, .max = 1e-3},
                {.help = "Duration of a switching edge with voltage and current present together; "
                         "sets the switching loss.",
                 .source = assumed})
        .number("quiescent_w", &Driver::quiescent_w, {.unit = "W", .min = 0, .max = 1000},
                {.help = "Power of the unit whenever it is on.", .source = assumed})
        .number("gate_energy_j", &Driver::gate_energy_j, {.unit = "J", .min = 0, .max = 1e-3},
                {.help = "Gate energy of one switch in one period.", .source = assumed})
        .number("duty", &Driver::duty, {.min = 0.01, .max = 1},
                {.help = "Share of each half period with voltage on the loop: "
                         "1 square drive, less quasi-square (2/3 has no third harmonic)."})
        .choice(
            "current_limit", &Driver::current_limit, limits,
            {.help = "What happens at the limit: duty lowers the drive until the current fits; "
                     "latched switches off at the limit until the next half period; "
                     "clamp holds the current at the limit. latched and clamp exclude capacitors, and both "
                     "loops sending at once. The three differ by factors."})
        .choice("current_limit_quantity", &Driver::current_limit_quantity, quantities,
                {.help = "Whether the limit is on the peak or on the rms of the loop current. "
                         "latched and clamp act on the peak."})
        .number("current_limit_a", &Driver::current_limit_a,
                {.unit = "A", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "The limit.", .required = true})
        .yes_no(
            "both_loops", &Driver::both_loops,
            {.help =
                 "The unit has a bridge for each loop and can drive both at once, a quarter period apart."})
        .choice(
            "idle_loop", &Driver::idle_loop, idle,
            {.help =
                 "The loop that does not send: open, or closed through its capacitor by its own bridge "
                 "(needs both_loops), so that it carries what the other induces unless they stand at right "
                 "angles."})
        .table("capacitors", &Driver::capacitors, capacitor_keys(),
               {.help = "Capacitors in series with the loop."})
        .whole("clock_hz", &Driver::clock_hz, {.unit = "Hz", .min = 100'000, .max = 1'000'000'000},
               {.help = "Reference clock; a drive frequency is the clock over an even whole number."})
        .number(
            "clock_error_ppm", &Driver::clock_error_ppm, {.unit = "ppm", .min = -100, .max = 100},
            {.help = "How fast the unit's clock runs against UTC.",
             .source = "compensated crystal 0.1 to 2.5 ppm (tests/reference/field/timing_oscillators.csv)"});
    return keys;
}

const Words<Chemistry>& chemistry_words() {
    static const Words<Chemistry> words{{Chemistry::lead_acid_flooded, "lead_acid_flooded"},
                                        {Chemistry::agm, "agm"},
                                        {Chemistry::lifepo4, "lifepo4"}};
    return words;
}

Section<Battery> battery_keys() {
    constexpr std::string_view kinetic = "Manwell & McGowan (1993), Solar Energy 50, 399-405";
    Section<Battery> keys;
    keys.choice("chemistry", &Battery::chemistry, chemistry_words(),
                {.help = "Flooded or absorbed-glass-mat lead-acid, or lithium iron phosphate. Lithium iron "
                         "phosphate must not be charged below 0 C (common practice, no source).",
                 .required = true})
        .number("capacity_ah", &Battery::capacity_ah,
                {.unit = "A h", .min = 0, .max = 10'000, .min_excluded = true},
                {.help = "Capacity of one battery when new, at 25 C, discharged in rated_hours.",
                 .required = true})
        .number("rated_hours", &Battery::rated_hours, {.unit = "h", .min = 0.5, .max = 100},
                {.help = "Discharge time the capacity is rated for.", .source = assumed})
        .number(
            "one_hour_fraction", &Battery::one_hour_fraction, {.min = 0.2, .max = 0.995},
            {.help =
                 "Share of capacity_ah that a new battery gives when emptied in one hour at 25 C, from its data "
                 "sheet; with rated_hours it sets how fast bound charge becomes available.",
             .source = kinetic,
             .when_absent = "by chemistry: 0.5 flooded, 0.6 agm, 0.95 lifepo4 (common practice, no source)"})
        .whole("cells_series", &Battery::cells_series, {.min = 1, .max = 400},
               {.help = "Cells in series in one battery.",
                .when_absent =
                    "by chemistry: 6 for a 12 V lead-acid, 4 for a 12.8 V lithium iron phosphate battery"})
        .whole("in_series", &Battery::in_series, {.min = 1, .max = 50},
               {.help = "Batteries in series in one set."})
        .whole("in_parallel", &Battery::in_parallel, {.min = 1, .max = 50},
               {.help = "Strings of batteries in parallel in one set."})
        .number("kinetic_c", &Battery::kinetic_c, {.min = 0.01, .max = 0.99},
                {.help = "Share of the charge that is available at once.",
                 .source = kinetic,
                 .when_absent = "by chemistry"})
        .number("kinetic_k_per_h", &Battery::kinetic_k_per_h,
                {.unit = "1/h", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "Rate at which bound charge becomes available.",
                 .source = kinetic,
                 .when_absent = "from rated_hours and one_hour_fraction"})
        .number("cell_resistance_ohm", &Battery::cell_resistance_ohm, {.unit = "ohm", .min = 0, .max = 10},
                {.help = "Internal resistance of one cell, full, at 25 C.",
                 .when_absent = "by chemistry and capacity"})
        .numbers("ocv_state_of_charge", &Battery::ocv_state_of_charge, {.min = 0, .max = 1}, {2, 50},
                 {.help = "Own table of open-circuit voltage: states of charge, rising from 0 to 1.",
                  .when_absent = "by chemistry"})
        .numbers("ocv_cell_v", &Battery::ocv_cell_v, {.unit = "V", .min = 0.5, .max = 5}, {2, 50},
                 {.help = "Own table of open-circuit voltage: volts of one cell, as many.",
                  .when_absent = "by chemistry"})
        .number("cut_off_v", &Battery::cut_off_v, {.unit = "V", .min = 0, .max = 2000, .min_excluded = true},
                {.help = "Terminal voltage of a set, under load, below which the unit stops. "
                         "Discharging deeper ruins the battery.",
                 .required = true})
        .number("under_voltage_delay_s", &Battery::under_voltage_delay_s, {.unit = "s", .min = 0, .max = 60},
                {.help = "The voltage must stay below cut_off_v this long.", .source = assumed})
        .whole("sets_carried", &Battery::sets_carried, {.min = 1, .max = 50},
               {.help = "Sets carried that can be swapped in turn."})
        .numbers("state_of_health", &Battery::state_of_health, {.min = 0.05, .max = 1.2}, {1, 50},
                 {.help = "Capacity left by age over that when new: one for all sets or one each.",
                  .source = assumed})
        .numbers("state_of_charge", &Battery::state_of_charge, {.min = 0, .max = 1}, {1, 50},
                 {.help = "Charge at the start of the day: one for all sets or one each."})
        .number("temperature_c", &Battery::temperature_c, {.unit = "C", .min = -40, .max = 60},
                {.help = "Battery temperature all day, for batteries kept warm.",
                 .when_absent = "that of the air at the start, then following it"})
        .rule([](const Battery& battery, const Value& table, const std::string& key, Problems& problems) {
            const auto one_or_each = [&](std::size_t count, const char* name) {
                if (count != 1 && count != static_cast<std::size_t>(battery.sets_carried))
                    problems.add(
                        table, key + "." + name, fmt::format("{} entries", count),
                        fmt::format("1, or one for each of the {} sets carried", battery.sets_carried));
            };
            one_or_each(battery.state_of_health.size(), "state_of_health");
            one_or_each(battery.state_of_charge.size(), "state_of_charge");
        });
    return keys;
}

Section<Thermal> thermal_keys() {
    Section<Thermal> keys;
    keys.number("winding_heat_j_per_k", &Thermal::winding_heat_j_per_k,
                {.unit = "J/K", .min = 0, .max = 1e7, .min_excluded = true},
                {.help = "Heat capacity of the winding.",
                 .when_absent = "that of the conductor of the lighter loop, its insulation not counted"})
        .number("winding_to_air_k_per_w", &Thermal::winding_to_air_k_per_w,
                {.unit = "K/W", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "Thermal resistance from the winding to the air.", .source = assumed})
        .number("winding_limit_c", &Thermal::winding_limit_c, {.unit = "C", .min = 20, .max = 300},
                {.help = "Highest temperature of the winding; the insulation decides.", .source = assumed})
        .number("electronics_heat_j_per_k", &Thermal::electronics_heat_j_per_k,
                {.unit = "J/K", .min = 0, .max = 1e6, .min_excluded = true},
                {.help = "Heat capacity of the electronics with their heat sink.", .source = assumed})
        .number("electronics_to_air_k_per_w", &Thermal::electronics_to_air_k_per_w,
                {.unit = "K/W", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "Thermal resistance from the electronics to the air.", .source = assumed})
        .number("electronics_limit_c", &Thermal::electronics_limit_c, {.unit = "C", .min = 20, .max = 200},
                {.help = "Highest temperature of the electronics.", .source = assumed})
        .number("winding_to_electronics_k_per_w", &Thermal::winding_to_electronics_k_per_w,
                {.unit = "K/W", .min = 0, .max = 1e6, .min_excluded = true},
                {.help = "Thermal resistance between the two.", .when_absent = "not coupled"})
        .number("restart_margin_k", &Thermal::restart_margin_k, {.unit = "K", .min = 0, .max = 200},
                {.help = "A hot unit rests until it is this much below both limits.", .source = assumed});
    return keys;
}

Section<Unit> unit_keys() {
    Section<Unit> keys;
    keys.number("arm_timeout_s", &Unit::arm_timeout_s, {.unit = "s", .min = 1, .max = 3600},
                {.help = "Armed without a go for this long: back to standby."})
        .number("warning_s", &Unit::warning_s, {.unit = "s", .min = 1, .max = 600},
                {.help = "Sounder before the loop is energised."})
        .number("over_current_factor", &Unit::over_current_factor, {.min = 1.05, .max = 10},
                {.help = "Trip above this times the largest peak current of the table.", .source = assumed})
        .number("open_loop_ohm", &Unit::open_loop_ohm, {.unit = "ohm", .min = 0.1, .max = 1e6},
                {.help = "A loop above this resistance counts as open.", .source = assumed})
        .number("shorted_loop_ohm", &Unit::shorted_loop_ohm, {.unit = "ohm", .min = 0, .max = 100},
                {.help = "A loop below this resistance counts as shorted.", .source = assumed})
        .whole("adc_bits", &Unit::adc_bits, {.unit = "bits", .min = 8, .max = 24},
               {.help = "Resolution of the unit's own measurements.", .source = assumed})
        .rule([](const Unit& unit, const Value& table, const std::string& key, Problems& problems) {
            if (unit.shorted_loop_ohm >= unit.open_loop_ohm)
                problems.add(table, key + ".shorted_loop_ohm", fmt::format("{}", unit.shorted_loop_ohm),
                             fmt::format("less than open_loop_ohm, {} ohm", unit.open_loop_ohm));
        });
    return keys;
}

}  // namespace ampturn::plan::file
