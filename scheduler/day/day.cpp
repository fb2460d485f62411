#include "scheduler/day/day.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/constants.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/day/assess_day.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/findings.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/emission/emission_output.hpp"
#include "scheduler/plan/night_shift.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/plan/receiver_crew.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/cautions.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/remarks/survey_remarks.hpp"

namespace ampturn::day {
namespace {

void describe_places(const plan::Plan& plan, const setup::KeepOut& keep_out, DayResult& out) {
    const double not_given = std::numeric_limits<double>::quiet_NaN();
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        const plan::Site& site = plan.sites[i];
        out.sites.push_back(
            {.name = site.name,
             .x_m = site.place.x_m,
             .y_m = site.place.y_m,
             .latitude_deg = site.place.latitude_deg.value_or(not_given),
             .longitude_deg = site.place.longitude_deg.value_or(not_given),
             .loop_azimuth_a_deg = plan.loop_azimuth_deg(model::loop::LoopSelection::a, static_cast<int>(i)),
             .loop_azimuth_b_deg = plan.loop_azimuth_deg(model::loop::LoopSelection::b, static_cast<int>(i)),
             .keep_out_public_m = keep_out.public_m,
             .keep_out_occupational_m = keep_out.occupational_m,
             .public_decided_by = keep_out.public_decided_by(),
             .occupational_decided_by = keep_out.occupational_decided_by()});
    }
    for (const plan::Station& station : plan.stations)
        out.stations.push_back({.name = station.name,
                                .site_index = station.site_index,
                                .x_m = station.place.x_m,
                                .y_m = station.place.y_m,
                                .offset_m = station.offset_m,
                                .bearing_deg = station.bearing_deg,
                                .crew_index = station.crew_index});
}

void describe_crews(const plan::Plan& plan, const DayRun& run, DayResult& out) {
    if (plan.receiver_crews.empty()) return;
    const std::vector<plan::CrewValues> crews = plan::receiver_crews_of(plan);
    for (std::size_t c = 0; c < crews.size(); ++c)
        out.receiver_crews.push_back({.name = crews[c].name,
                                      .people = crews[c].people,
                                      .sensor_sets = crews[c].sensor_sets,
                                      .back_s = run.receivers_back_s[c]});
}

void assess_all(const plan::Plan& plan, const setup::SurveySetup& setup, const DayRun& run, unsigned threads,
                DayResult& out) {
    const std::vector<reading::FrequencyResponse> responses =
        reading::station_responses(plan, setup, threads);
    out.readings = assess_day(plan, run, out.table, responses);
    if (const auto flat = setup::with_flat_coils(plan)) {
        const std::vector<reading::Reading> readings = assess_day(*flat, run, out.table, responses);
        out.passed_with_flat_coils =
            static_cast<int>(std::count_if(readings.begin(), readings.end(), [](const reading::Reading& r) {
                return r.required && r.verdict == reading::Verdict::usable;
            }));
    }
    for (const reading::Reading& reading : out.readings) {
        if (!reading.required) continue;
        const bool passed = reading.verdict == reading::Verdict::usable;
        StationSummary& summary = out.stations[static_cast<std::size_t>(reading.station_index)];
        ++summary.required_count;
        summary.passed_count += passed;
        ++out.required_count;
        out.passed_count += passed;
    }
}

void count_batteries(const plan::Plan& plan, const setup::SurveySetup& setup, std::uint64_t seed,
                     const DayRun& run, DayResult& out) {
    out.batteries_carried = plan.battery.sets_carried;
    // With a set to spare, more sets would have changed nothing: the day itself is the answer.
    const bool to_spare = run.batteries.size() <
                          static_cast<std::size_t>(std::min(out.batteries_carried, battery_sets_tried_most));
    const DayRun enough =
        to_spare
            ? run
            : run_day(plan, setup, {.seed = seed, .sets_available = battery_sets_tried_most, .trace = false});
    out.batteries_needed = static_cast<int>(enough.batteries.size());
    out.batteries_needed_suffice =
        out.batteries_needed < battery_sets_tried_most && !short_of_batteries(enough.sweeps);
}

}  // namespace

plan::Plan apply(plan::Plan plan, const Overrides& overrides) {
    if (overrides.start_s) {
        plan.day.start_s = *overrides.start_s;
        plan.day.end_s = plan::end_after_start_s(plan.day.start_s, plan.day.end_s);
    }
    if (overrides.temperature_c) {
        if (!(*overrides.temperature_c >= lowest_temperature_c &&
              *overrides.temperature_c <= highest_temperature_c))
            throw base::InputError(base::InputProblem{
                .file = "--temperature",
                .found = fmt::format("{}", *overrides.temperature_c),
                .allowed = fmt::format("{:g} to {:g} C", lowest_temperature_c, highest_temperature_c)});
        plan.day.temperature_hour = {12};
        plan.day.temperature_c = {*overrides.temperature_c};
    }
    if (overrides.batteries) {
        if (*overrides.batteries < 1 || *overrides.batteries > 99)
            throw base::InputError(base::InputProblem{.file = "--batteries",
                                                      .found = std::to_string(*overrides.batteries),
                                                      .allowed = "1 to 99 battery sets"});
        plan.battery.sets_carried = *overrides.batteries;
        // More sets than the plan describes are like its last.
        for (std::vector<double>* list : {&plan.battery.state_of_health, &plan.battery.state_of_charge})
            if (list->size() > 1) list->resize(static_cast<std::size_t>(*overrides.batteries), list->back());
    }
    return plan;
}

DayResult simulate_day(const plan::Plan& plan, const DayOptions& options) {
    return simulate_day(plan, setup::survey_setup_of(plan), options);
}

DayResult simulate_day(const plan::Plan& plan, const setup::SurveySetup& setup, const DayOptions& options) {
    const setup::PlannedTable& table = setup.table;
    DayRun run = run_day(plan, setup, {.seed = options.seed, .sets_available = plan.battery.sets_carried});

    DayResult out{};
    out.plan_path = plan.source.path;
    out.plan_crc32 = base::crc32_text(plan.source.crc32);
    out.survey_name = plan.survey.name;
    out.survey_note = plan.survey.notes;
    out.invented = plan.survey.invented;
    out.date = base::date_text(plan.survey.date);
    out.utc_offset_h = plan.survey.utc_offset_h;
    out.table = table.rows;
    out.table_crc32 = table.crc32;
    out.table_made_for = table.made_for;
    out.table_duration_s = table.duration_s;
    out.frequencies_hz = setup.frequencies_hz;
    out.battery_cut_off_v = plan.battery.cut_off_v;
    out.target_resistivity_percent = plan.targets.rho_error_percent;
    out.target_phase_deg = plan.targets.phase_error_deg;
    out.tolerance_bias_percent = plan.targets.rho_bias_percent;
    out.tolerance_bias_deg = plan.targets.phase_bias_deg;

    describe_places(plan, setup.keep_out, out);
    describe_crews(plan, run, out);
    assess_all(plan, setup, run, options.threads, out);
    count_batteries(plan, setup, options.seed, run, out);

    for (const BatteryUse& use : run.batteries) out.energy_wh += use.delivered_wh;
    out.timeline = std::move(run.timeline);
    out.sweeps = std::move(run.sweeps);
    out.battery_trace = std::move(run.battery_trace);
    out.batteries = std::move(run.batteries);
    out.end_s = run.end_s;
    out.person_hours = run.person_hours;
    out.completed = run.completed;
    out.findings = findings_of(out);
    for (const plan::Remark& remark : setup::remarks::survey_remarks(plan, setup))
        out.findings.emplace_back(SurveyRemarked{remark.text});
    out.cautions = setup::cautions_of(plan, setup.keep_out);
    if (plan.emission)
        for (std::string& verdict : emission::verdict_sentences(emission::emission_of(plan, setup)))
            out.cautions.push_back(std::move(verdict));
    if (!plan::has_leg_to_base(plan.day))
        out.cautions.emplace_back(
            "No leg of the plan leads to the base: the ways from and to it are not counted, and the day is longer "
            "than it says.");
    return out;
}

}  // namespace ampturn::day
