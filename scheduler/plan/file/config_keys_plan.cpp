#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

Section<LoopsInput> loops_keys() {
    Section<LoopsInput> keys;
    keys.table("a", &LoopsInput::a, loop_keys(), {.help = "Loop A.", .required = true});
    keys.table("b", &LoopsInput::b, loop_keys(),
               {.help = "Loop B, nominally at right angles to A.", .required = true});
    return keys;
}

Section<PlanInput> whole_file() {
    constexpr CountRange some_sites{1, 100};
    constexpr CountRange some_stations{1, 1000};
    Section<PlanInput> keys;
    keys.table("survey", &PlanInput::survey, survey_keys(),
               {.help = "What is surveyed, where and when.", .required = true});
    keys.table("earth", &PlanInput::earth, ground_keys(),
               {.help = "The layered ground assumed in planning, top layer first.", .required = true});
    keys.tables("ground", &PlanInput::grounds, named_ground_keys(), {0, 100},
                {.help = "Another layered ground, for the stations that stand on it (station.ground).",
                 .when_absent = "all stations stand on [earth]"});
    keys.tables("site", &PlanInput::sites, site_keys(), some_sites,
                {.help = "A place where the transmitter stands. "
                         "All sites of a plan are given the same way: "
                         "latitude and longitude, or local x and y.",
                 .required = true});
    keys.tables("station", &PlanInput::stations, station_keys(), some_stations,
                {.help = "A place where the receiver stands, in the order of the day. Give latitude and "
                         "longitude, or local x and y, or offset and bearing from its site.",
                 .required = true});
    keys.tables(
        "receiver_crew", &PlanInput::receiver_crews, receiver_crew_keys(), {0, 100},
        {.help = "A receiver crew. The stations it has standing listen to the same sweeps as those of the "
                 "other crews at the site (station.crew).",
         .when_absent = "one crew with one station standing at a time, as [day] has it"});
    keys.tables(
        "power_line", &PlanInput::power_lines, power_line_keys(), {0, 100},
        {.help = "An overhead line on the map: each station without a mains_b_nt of its own hears it by its "
                 "distance.",
         .when_absent = "no line near"});
    keys.table("loop", &PlanInput::loops, loops_keys(),
               {.help = "The two transmitter loops.", .required = true});
    keys.table("driver", &PlanInput::driver, driver_keys(),
               {.help = "Bridge, supply, current limit, capacitors, clock.", .required = true});
    keys.table("battery", &PlanInput::battery, battery_keys(),
               {.help = "The batteries as carried.", .required = true});
    keys.table("thermal", &PlanInput::thermal, thermal_keys(),
               {.help = "Heat: one node for the winding, one for the electronics."});
    keys.table("unit", &PlanInput::unit, unit_keys(), {.help = "Times and trip thresholds of the unit."});
    keys.table("sweep", &PlanInput::sweep, sweep_keys(),
               {.help = "The table of steps: a list of frequencies sharing the settings of this table, "
                        "or [[sweep.step]] tables that override them step by step. "
                        "At most 64 steps come out, counting each loop.",
                .required = true});
    keys.table("receiver", &PlanInput::receiver, receiver_keys(),
               {.help = "The receiving set used at every station.", .required = true});
    keys.tables("sensors", &PlanInput::sensor_sets, sensor_set_keys(), {0, 100},
                {.help = "Other sensors, for the stations where they are set up (station.sensors).",
                 .when_absent = "those of [receiver] everywhere"});
    keys.table("noise", &PlanInput::noise, noise_keys(), {.help = "Noise at the stations."});
    keys.table("targets", &PlanInput::targets, targets_keys(), {.help = "What the data must be good for."});
    keys.table("day", &PlanInput::day, day_keys(), {.help = "The working day."});
    keys.table("areas", &PlanInput::areas, areas_keys(),
               {.help = "Areas and tracks on the map, as GeoJSON (RFC 7946); for plans whose sites have "
                        "latitude and longitude."});
    keys.table("terrain", &PlanInput::terrain, terrain_keys(),
               {.help = "Heights, for walking and for remarks. Fields are those of flat, layered ground."});
    keys.tables(
        "survey_day", &PlanInput::survey_days, survey_day_keys(), {0, 366},
        {.help = "A day of a survey of several, for `ampturn days`. What it does not say stands in [day].",
         .when_absent = "all stations on one day, as [day] says"});
    keys.table("charging", &PlanInput::charging, charging_keys(),
               {.help = "How batteries are charged in the nights between survey days.",
                .when_absent = "they are not charged"});
    keys.table("safety", &PlanInput::safety, safety_keys(),
               {.help = "Limits printed on the field sheet. Local rules and the responsible person decide."});
    keys.table(
        "emission", &PlanInput::emission, emission_keys(),
        {.help =
             "Field strength against limits, and services to keep clear of. A planning aid: the licensing "
             "authority decides.",
         .when_absent =
             "`ampturn transmitter` tells the field strengths, against no limit; no service is avoided"});
    keys.table("uncertainty", &PlanInput::uncertainty, uncertainty_keys(),
               {.help = "How well things are known: one standard deviation each, for Monte Carlo runs."});
    keys.table("question", &PlanInput::question, question_keys(),
               {.help = "What the survey must tell apart.", .when_absent = "no question asked"});
    return keys;
}

}  // namespace

const Section<PlanInput>& plan_keys() {
    static const Section<PlanInput> keys = whole_file();
    return keys;
}

}  // namespace ampturn::plan::file
