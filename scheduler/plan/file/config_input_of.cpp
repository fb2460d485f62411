#include "scheduler/plan/file/config_expand.hpp"

#include <cmath>
#include <cstddef>

namespace ampturn::plan::file {

namespace {

GroundInput ground_input(const Ground& ground) {
    GroundInput input{.resistivity_ohm_m = ground.resistivity_ohm_m,
                      .thickness_m = ground.thickness_m,
                      .relative_permittivity = ground.relative_permittivity,
                      .relative_permeability = ground.relative_permeability,
                      .anisotropy = ground.anisotropy,
                      .polarisable = {}};
    for (std::size_t i = 0; i < ground.cole_cole.size(); ++i)
        if (ground.cole_cole[i].exponent > 0)
            input.polarisable.push_back({static_cast<int>(i) + 1, ground.cole_cole[i].chargeability,
                                         ground.cole_cole[i].time_constant_s, ground.cole_cole[i].exponent});
    return input;
}

Loop loop_input(Loop loop) {
    if (loop.wire_awg) loop.wire_area_mm2 = 0;
    return loop;
}

SiteInput site_input(const Site& site) {
    SiteInput input{.name = site.name,
                    .latitude_deg = site.place.latitude_deg,
                    .longitude_deg = site.place.longitude_deg,
                    .x_m = {},
                    .y_m = {},
                    .loop_a_azimuth_deg = site.loop_a_azimuth_deg,
                    .loop_b_azimuth_deg = site.loop_b_azimuth_deg};
    if (!input.latitude_deg) {
        input.x_m = site.place.x_m;
        input.y_m = site.place.y_m;
    }
    return input;
}

StationInput station_input(const Plan& plan, const Station& station) {
    StationInput input{.name = station.name,
                       .site = station.site,
                       .latitude_deg = station.place.latitude_deg,
                       .longitude_deg = station.place.longitude_deg,
                       .x_m = {},
                       .y_m = {},
                       .offset_m = {},
                       .bearing_deg = {},
                       .sweeps = station.sweeps,
                       .required_frequencies_hz = station.required_frequencies_hz,
                       .set_up_min = station.set_up_min,
                       .mains_b_nt = station.mains_b_nt,
                       .contact_resistance_ohm = station.contact_resistance_ohm,
                       .natural_azimuth_deg = station.natural_azimuth_deg,
                       .crew = {},
                       .ground = {},
                       .sensors = {},
                       .spectrum_csv = station.spectrum_csv,
                       .interferers = station.interferers};
    if (station.crew_index > 0)
        input.crew = plan.receiver_crews[static_cast<std::size_t>(station.crew_index)].name;
    if (station.ground_index)
        input.ground = plan.grounds[static_cast<std::size_t>(*station.ground_index)].name;
    if (station.sensors_index)
        input.sensors = plan.sensor_sets[static_cast<std::size_t>(*station.sensors_index)].name;
    if (!input.latitude_deg) {
        input.x_m = station.place.x_m;
        input.y_m = station.place.y_m;
    }
    return input;
}

PowerLineInput power_line_input(const PowerLine& line) {
    PowerLineInput input{.name = line.name,
                         .longitude_latitude_deg = {},
                         .x_y_m = {},
                         .mains_b_nt = line.mains_b_nt,
                         .at_distance_m = line.at_distance_m,
                         .fall_off_exponent = line.fall_off_exponent};
    for (const Place& point : line.points)
        if (point.latitude_deg)
            input.longitude_latitude_deg.push_back({*point.longitude_deg, *point.latitude_deg});
        else
            input.x_y_m.push_back({point.x_m, point.y_m});
    return input;
}

StepLoop step_loop(model::loop::LoopSelection loop) {
    switch (loop) {
        case model::loop::LoopSelection::a:
            return StepLoop::a;
        case model::loop::LoopSelection::b:
            return StepLoop::b;
        case model::loop::LoopSelection::both:
            return StepLoop::quadrature;
    }
    return StepLoop::a;
}

SweepInput sweep_input(const Sweep& sweep) {
    SweepInput input;
    input.name = sweep.name;
    input.start_align = sweep.start_align;
    input.coherent_records = sweep.coherent_records;
    input.time_budget_s = sweep.time_budget_s;
    input.energy_budget_wh = sweep.energy_budget_wh;
    input.current_a_peak = sweep.steps.front().current_a_peak;
    for (const Step& step : sweep.steps)
        input.steps.push_back({.frequency_hz = step.frequency_hz,
                               .loop = step_loop(step.loop),
                               .turns_in_use = step.turns_in_use,
                               .capacitor = step.capacitor,
                               .ramp_cycles = step.ramp_cycles,
                               .dwell_s = step.dwell_s,
                               .min_dwell_s = step.min_dwell_s,
                               .max_dwell_s = step.max_dwell_s,
                               .current_a_peak = step.current_a_peak,
                               .settle_s = step.settle_s,
                               .gap_s = step.gap_s,
                               .align = step.align});
    return input;
}

SurveyDayInput survey_day_input(const Plan& plan, const SurveyDay& day) {
    SurveyDayInput input{.date = day.date, .start_s = day.start_s, .end_s = std::fmod(day.end_s, 86'400)};
    input.charge = day.charge;
    for (const int station : day.stations)
        input.stations.push_back(plan.stations[static_cast<std::size_t>(station)].name);
    return input;
}

QuestionInput question_input(const Question& question) {
    QuestionInput input{.text = question.text,
                        .kind = question.kind,
                        .with_target = {},
                        .interface = question.interface,
                        .within_m = question.within_m,
                        .confidence = question.confidence,
                        .stations = question.stations};
    if (!question.with_target.resistivity_ohm_m.empty())
        input.with_target = ground_input(question.with_target);
    return input;
}

}  // namespace

PlanInput input_of(const Plan& plan) {
    PlanInput input{.survey = plan.survey,
                    .earth = ground_input(plan.earth),
                    .grounds = {},
                    .sites = {},
                    .stations = {},
                    .power_lines = {},
                    .loops = {loop_input(plan.loop_a), loop_input(plan.loop_b)},
                    .driver = plan.driver,
                    .battery = plan.battery,
                    .thermal = plan.thermal,
                    .unit = plan.unit,
                    .sweep = sweep_input(plan.sweep),
                    .receiver = plan.receiver,
                    .sensor_sets = plan.sensor_sets,
                    .receiver_crews = plan.receiver_crews,
                    .noise = plan.noise,
                    .targets = plan.targets,
                    .day = plan.day,
                    .areas = plan.areas,
                    .terrain = plan.terrain,
                    .survey_days = {},
                    .charging = plan.charging,
                    .safety = plan.safety,
                    .emission = plan.emission,
                    .uncertainty = plan.uncertainty,
                    .question = {}};
    input.day.end_s = std::fmod(plan.day.end_s, 86'400);  // a time of day in the file
    for (const Site& site : plan.sites) input.sites.push_back(site_input(site));
    for (const Station& station : plan.stations) input.stations.push_back(station_input(plan, station));
    for (const SurveyDay& day : plan.survey_days) input.survey_days.push_back(survey_day_input(plan, day));
    for (const NamedGround& named : plan.grounds)
        input.grounds.push_back({ground_input(named.ground), named.name});
    for (const PowerLine& line : plan.power_lines) input.power_lines.push_back(power_line_input(line));
    for (SensorSet& set : input.sensor_sets)
        if (set.coil != Coil::custom) set.coil_a_pt = set.coil_floor_pt_per_rthz = set.coil_b_pt_per_hz = 0;
    if (input.receiver.coil != Coil::custom)
        input.receiver.coil_a_pt = input.receiver.coil_floor_pt_per_rthz = input.receiver.coil_b_pt_per_hz =
            0;
    if (plan.question) input.question = question_input(*plan.question);
    return input;
}

}  // namespace ampturn::plan::file
