#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

constexpr std::string_view assumed = "common practice, no source";
constexpr NumberRange frequency{.unit = "Hz", .min = 1, .max = 1e6};
constexpr NumberRange dwell{.unit = "s", .min = 0, .max = 86'400, .min_excluded = true};
constexpr NumberRange current{.unit = "A", .min = 0, .max = 1000, .min_excluded = true};
constexpr NumberRange wait{.unit = "s", .min = 0, .max = 3600};
constexpr WholeRange turns{.min = 1, .max = 1000};
constexpr WholeRange capacitor{.min = 0, .max = 32};
constexpr WholeRange ramp{.unit = "cycles", .min = 0, .max = 60'000};

const Words<StepLoop>& loop_words() {
    static const Words<StepLoop> words{{StepLoop::a, "a"},
                                       {StepLoop::b, "b"},
                                       {StepLoop::each, "each"},
                                       {StepLoop::quadrature, "quadrature"}};
    return words;
}

const Words<Align>& align_words() {
    static const Words<Align> words{
        {Align::none, "none"}, {Align::second, "second"}, {Align::minute, "minute"}};
    return words;
}

Section<StepInput> step_keys() {
    Section<StepInput> keys;
    keys.number("frequency_hz", &StepInput::frequency_hz, frequency,
                {.help = "Requested frequency; the clock gives the nearest it can.", .required = true})
        .choice("loop", &StepInput::loop, loop_words(),
                {.help = "Which loop sends.", .when_absent = "sweep.loop"})
        .whole(
            "turns_in_use", &StepInput::turns_in_use, turns,
            {.help = "Tap: all turns of the loop or one of its taps.", .when_absent = "sweep.turns_in_use"})
        .whole("capacitor", &StepInput::capacitor, capacitor,
               {.help = "0 none, else which of driver.capacitors.capacitance_f, counted from 1.",
                .when_absent = "sweep.capacitor"})
        .number("dwell_s", &StepInput::dwell_s, dwell,
                {.help = "Time at full current; rounded up to whole cycles.", .when_absent = "sweep.dwell_s"})
        .number("min_dwell_s", &StepInput::min_dwell_s, dwell,
                {.help = "Shortest dwell that tuning may set.", .when_absent = "sweep.min_dwell_s"})
        .number("max_dwell_s", &StepInput::max_dwell_s, dwell,
                {.help = "Longest dwell that tuning may set.", .when_absent = "sweep.max_dwell_s"})
        .number("current_a_peak", &StepInput::current_a_peak, current,
                {.help = "Requested peak of the fundamental.", .when_absent = "sweep.current_a_peak"})
        .whole("ramp_cycles", &StepInput::ramp_cycles, ramp,
               {.help = "Cycles of the ramp up, and again of the ramp down.",
                .when_absent = "sweep.ramp_cycles"})
        .number("settle_s", &StepInput::settle_s, wait,
                {.help = "Wait after switching loop, tap and capacitor.", .when_absent = "sweep.settle_s"})
        .number("gap_s", &StepInput::gap_s, wait,
                {.help = "Silence after the step.", .when_absent = "sweep.gap_s"})
        .choice("align", &StepInput::align, align_words(),
                {.help = "Start the step on a UTC mark.", .when_absent = "sweep.align"});
    return keys;
}

}  // namespace

Section<SweepInput> sweep_keys() {
    const Words<SweepOrder> orders{{SweepOrder::each, "each"}, {SweepOrder::whole, "whole"}};
    Section<SweepInput> keys;
    keys.text("name", &SweepInput::name, {.help = "Name of the table, agreed by radio.", .required = true},
              40)
        .choice("loop", &SweepInput::loop, loop_words(),
                {.help = "Which loop sends: a, b, each (both in turn, two steps) "
                         "or quadrature (both at once, needs driver.both_loops)."})
        .choice("order", &SweepInput::order, orders,
                {.help = "With loop = \"each\": each sends A then B at every frequency, "
                         "whole runs the whole sweep with A, then with B."})
        .choice("start_align", &SweepInput::start_align, align_words(),
                {.help = "UTC mark that the first step starts on."})
        .numbers("frequencies_hz", &SweepInput::frequencies_hz, frequency, {1, 64},
                 {.help = "Frequencies in the order sent.", .when_absent = "[[sweep.step]] tables instead"})
        .whole("turns_in_use", &SweepInput::turns_in_use, turns,
               {.help = "Tap of every step.", .when_absent = "the best is found for each step"})
        .whole("capacitor", &SweepInput::capacitor, capacitor,
               {.help = "Capacitor of every step: 0 none, else which, counted from 1.",
                .when_absent = "the best is found for each step"})
        .number("dwell_s", &SweepInput::dwell_s, dwell,
                {.help = "Time at full current of every step; rounded up to whole cycles.",
                 .source = "common practice, no source: 5 to 60 s"})
        .number("min_dwell_s", &SweepInput::min_dwell_s, dwell,
                {.help = "Shortest dwell that tuning may set.", .source = assumed})
        .number("max_dwell_s", &SweepInput::max_dwell_s, dwell,
                {.help = "Longest dwell that tuning may set.", .source = assumed})
        .number("current_a_peak", &SweepInput::current_a_peak, current,
                {.help = "Requested peak of the fundamental; "
                         "what the bridge, the limit and the heat allow is reported.",
                 .required = true})
        .whole("ramp_cycles", &SweepInput::ramp_cycles, ramp,
               {.help = "Cycles of the ramp up, and again of the ramp down.", .source = assumed})
        .number("settle_s", &SweepInput::settle_s, wait,
                {.help = "Wait after switching loop, tap and capacitor.", .source = assumed})
        .number("gap_s", &SweepInput::gap_s, wait, {.help = "Silence after each step.", .source = assumed})
        .choice("align", &SweepInput::align, align_words(), {.help = "Start every step on a UTC mark."})
        .yes_no("coherent_records", &SweepInput::coherent_records,
                {.help = "A dwell is a whole number of receiver records, rounded up."})
        .number("time_budget_s", &SweepInput::time_budget_s, dwell,
                {.help = "Longest one sweep may take when tuned.", .when_absent = "no limit"})
        .number("energy_budget_wh", &SweepInput::energy_budget_wh,
                {.unit = "W h", .min = 0, .max = 1e6, .min_excluded = true},
                {.help = "Most energy one sweep may take from the battery when tuned.",
                 .when_absent = "no limit"})
        .tables("step", &SweepInput::steps, step_keys(), {1, 64},
                {.help = "One step; what it leaves out is taken from [sweep].",
                 .when_absent = "frequencies_hz instead"});
    return keys;
}

Section<Targets> targets_keys() {
    const Words<Element> elements{
        {Element::xx, "xx"}, {Element::xy, "xy"}, {Element::yx, "yx"}, {Element::yy, "yy"}};
    constexpr NumberRange percent{.unit = "%", .min = 0, .max = 1000, .min_excluded = true};
    constexpr NumberRange phase{.unit = "deg", .min = 0, .max = 90, .min_excluded = true};
    Section<Targets> keys;
    keys.number(
            "rho_error_percent", &Targets::rho_error_percent, percent,
            {.help = "Largest error bar of apparent resistivity, one standard deviation.", .source = assumed})
        .number("phase_error_deg", &Targets::phase_error_deg, phase,
                {.help = "Largest error bar of phase, one standard deviation.", .source = assumed})
        .number("rho_bias_percent", &Targets::rho_bias_percent, percent,
                {.help = "Apparent resistivity of this source may differ this much from a plane wave's.",
                 .source = assumed})
        .number("phase_bias_deg", &Targets::phase_bias_deg, phase,
                {.help = "Phase of this source may differ this much from a plane wave's.", .source = assumed})
        .number(
            "near_field_bias_percent", &Targets::near_field_bias_percent, percent,
            {.help = "Beyond this bias a reading is near field, no longer transition.", .source = assumed})
        .number(
            "near_field_bias_deg", &Targets::near_field_bias_deg, phase,
            {.help = "Beyond this bias of phase, too: 15 degrees is a third of the 45 of a uniform ground.",
             .source = assumed})
        .choices("elements", &Targets::elements, elements, {1, 4},
                 {.help = "Elements of the impedance tensor that must meet the targets."})
        .number("rule_of_thumb_skin_depths", &Targets::rule_of_thumb_skin_depths, {.min = 0.1, .max = 20},
                {.help = "Offset over skin depth of the rule of thumb that is shown beside the "
                         "computed verdict, never instead of it.",
                 .source = "common practice: 3 to 5, made for grounded dipoles (Zonge & Hughes 1991)"})
        .rule([](const Targets& targets, const Value& table, const std::string& key, Problems& problems) {
            if (targets.near_field_bias_percent <= targets.rho_bias_percent)
                problems.add(table, key + ".near_field_bias_percent",
                             fmt::format("{}", targets.near_field_bias_percent),
                             fmt::format("more than rho_bias_percent, {} %", targets.rho_bias_percent));
            if (targets.near_field_bias_deg <= targets.phase_bias_deg)
                problems.add(table, key + ".near_field_bias_deg",
                             fmt::format("{}", targets.near_field_bias_deg),
                             fmt::format("more than phase_bias_deg, {} deg", targets.phase_bias_deg));
        });
    return keys;
}

namespace {

Section<Leg> leg_keys() {
    Section<Leg> keys;
    keys.text("from", &Leg::from, {.help = "A site, a station or \"base\".", .required = true}, 40)
        .text("to", &Leg::to, {.help = "A site, a station or \"base\".", .required = true}, 40)
        .number("minutes", &Leg::minutes, {.unit = "min", .min = 0, .max = 1440},
                {.help = "Time on the way, either way.", .required = true});
    return keys;
}

}  // namespace

Section<Day> day_keys() {
    constexpr NumberRange minutes{.unit = "min", .min = 0, .max = 1440};
    constexpr std::string_view estimate = "estimate of practitioners (tests/reference/field)";
    const Words<SwapRule> rules{{SwapRule::never, "never"},
                                {SwapRule::at_cut_off, "at_cut_off"},
                                {SwapRule::between_sweeps, "between_sweeps"},
                                {SwapRule::at_site, "at_site"}};
    Section<Day> keys;
    keys.time_of_day("start", &Day::start_s, {.help = "The crews leave the base.", .source = assumed})
        .time_of_day("end", &Day::end_s,
                     {.help = "The crews must be back at the base; not later than start: on the next day.",
                      .source = assumed})
        .whole("crew_transmitter", &Day::crew_transmitter, {.min = 1, .max = 20},
               {.help = "Persons at the transmitter.", .source = estimate})
        .whole("crew_receiver", &Day::crew_receiver, {.min = 1, .max = 20},
               {.help = "Persons at the receiver.", .source = estimate})
        .number("briefing_min", &Day::briefing_min, minutes,
                {.help = "Safety talk, weather and radio check before leaving.", .source = estimate})
        .number("transmitter_set_up_min", &Day::transmitter_set_up_min, minutes,
                {.help = "Choosing the spot, raising both loops, cables, battery, self-test at a site.",
                 .source = estimate})
        .number("transmitter_pack_up_min", &Day::transmitter_pack_up_min, minutes,
                {.help = "Power down, lower, pack at a site.", .source = estimate})
        .number("receiver_set_up_min", &Day::receiver_set_up_min, minutes,
                {.help = "Electrodes and coils at a station.", .source = estimate})
        .number("receiver_pack_up_min", &Day::receiver_pack_up_min, minutes,
                {.help = "Packing up at a station.", .source = estimate})
        .number(
            "agree_min", &Day::agree_min, minutes,
            {.help = "Before each sweep: table, start mark and order agreed by radio.", .source = estimate})
        .number("quick_look_min", &Day::quick_look_min, minutes,
                {.help = "After each sweep: currents and coherence looked at.", .source = estimate})
        .number("battery_swap_min", &Day::battery_swap_min, minutes,
                {.help = "Changing to the next battery set.", .source = estimate})
        .number(
            "walking_speed_km_h", &Day::walking_speed_km_h, {.unit = "km/h", .min = 0.1, .max = 100},
            {.help = "Between places that have no leg of their own, in a straight line.", .source = assumed})
        .tables("leg", &Day::legs, leg_keys(), {0, 5000},
                {.help = "A known time between two places.",
                 .when_absent =
                     "distance over walking_speed_km_h; to and from the base over the place with a leg "
                     "there that is quickest, or 0 when none has"})
        .choice("swap_rule", &Day::swap_rule, rules,
                {.help = "When to change to the next battery set: never; "
                         "at_cut_off, when the unit stops for low voltage; "
                         "between_sweeps, before a sweep when less than swap_below_fraction is left; "
                         "at_site, the same but only when moving to another site."})
        .number("swap_below_fraction", &Day::swap_below_fraction, {.min = 0, .max = 1},
                {.help = "Charge left, over full, below which a set is changed.", .source = assumed})
        .numbers("temperature_hour", &Day::temperature_hour, {.unit = "h", .min = 0, .max = 24}, {1, 49},
                 {.help = "Local hours at which the air temperature is known, rising.",
                  .when_absent = "15 C all day"})
        .numbers("temperature_c", &Day::temperature_c, {.unit = "C", .min = -50, .max = 60}, {1, 49},
                 {.help = "Air temperatures, as many; straight lines between, level outside.",
                  .when_absent = "15 C all day"})
        .rule([](const Day& day, const Value& table, const std::string& key, Problems& problems) {
            if (day.end_s == day.start_s)
                problems.add(table, key + ".end", toml_time_of_day(day.end_s),
                             "another time than " + key + ".start");
            if (day.temperature_hour.size() != day.temperature_c.size())
                problems.add(table, key + ".temperature_c",
                             fmt::format("{} entries", day.temperature_c.size()),
                             fmt::format("as many as temperature_hour, {}", day.temperature_hour.size()));
            for (std::size_t i = 1; i < day.temperature_hour.size(); ++i)
                if (day.temperature_hour[i] <= day.temperature_hour[i - 1])
                    problems.add(
                        table, fmt::format("{}.temperature_hour[{}]", key, i + 1),
                        fmt::format("{}", day.temperature_hour[i]),
                        fmt::format("more than the entry before it, {}", day.temperature_hour[i - 1]));
        });
    return keys;
}

Section<Safety> safety_keys() {
    constexpr NumberRange wind{.unit = "m/s", .min = 0, .max = 60};
    const Words<ExposureSet> sets{
        {ExposureSet::icnirp, "icnirp"}, {ExposureSet::eu, "eu"}, {ExposureSet::own, "own"}};
    constexpr NumberRange flux{.unit = "uT", .min = 0, .max = 1e5, .min_excluded = true};
    Section<Safety> keys;
    keys.choice(
            "exposure_levels", &Safety::exposure_levels, sets,
            {.help =
                 "Levels behind the keep-out distance: icnirp, ICNIRP 2010 and above 100 kHz the local ones of 2020 where tighter "
                 "(whole-body ones not read); eu, 1999/519/EC and at work 2013/35/EU; own, those below. Local law decides.",
             .source = "tests/reference/facts"})
        .number("own_public_b_ut", &Safety::own_public_b_ut, flux,
                {.help = "Own level for the public, rms.",
                 .when_absent = "needed with exposure_levels = \"own\""})
        .number(
            "own_occupational_b_ut", &Safety::own_occupational_b_ut, flux,
            {.help = "Own level for people at work.", .when_absent = "needed with exposure_levels = \"own\""})
        .number(
            "keep_out_margin_m", &Safety::keep_out_margin_m, {.unit = "m", .min = 0, .max = 100},
            {.help = "Added to the computed keep-out distance around an energised loop.", .source = assumed})
        .number("wind_raise_limit_m_s", &Safety::wind_raise_limit_m_s, wind,
                {.help = "Mean wind above which no loop is raised; the mast maker's figure counts.",
                 .source = assumed})
        .number("wind_lower_mean_m_s", &Safety::wind_lower_mean_m_s, wind,
                {.help = "Mean wind above which loops are lowered.", .source = assumed})
        .number("wind_lower_gust_m_s", &Safety::wind_lower_gust_m_s, wind,
                {.help = "Gust above which loops are lowered.", .source = assumed})
        .number("lightning_flash_to_bang_s", &Safety::lightning_flash_to_bang_s,
                {.unit = "s", .min = 30, .max = 120},
                {.help = "Flash to thunder in this time or less: stop, leave the loops, take shelter. "
                         "No rule protects from the first stroke.",
                 .source = "30-30 rule of weather services"})
        .number(
            "lightning_wait_min", &Safety::lightning_wait_min, {.unit = "min", .min = 30, .max = 240},
            {.help = "Time in shelter after the last thunder.", .source = "30-30 rule of weather services"})
        .number(
            "safe_capacitor_v", &Safety::safe_capacitor_v,
            {.unit = "V", .min = 0, .max = 60, .min_excluded = true},
            {.help = "Capacitors count as discharged below this.",
             .source =
                 "IEC 60204-1, 6.2.4: at most 60 V (tests/reference/facts); 50 V: common practice, no source"})
        .rule([](const Safety& safety, const Value& table, const std::string& key, Problems& problems) {
            const bool own = safety.exposure_levels == ExposureSet::own;
            const auto check = [&](const std::optional<double>& level, const char* name) {
                if (own == level.has_value()) return;
                problems.add(table, key + "." + name, own ? "nothing" : "a level",
                             own ? "a level with \"own\"" : "nothing: exposure_levels is not \"own\"");
            };
            check(safety.own_public_b_ut, "own_public_b_ut");
            check(safety.own_occupational_b_ut, "own_occupational_b_ut");
        });
    return keys;
}

Section<Uncertainty> uncertainty_keys() {
    constexpr NumberRange fraction{.min = 0, .max = 1};
    constexpr NumberRange decibel{.unit = "dB", .min = 0, .max = 40};
    Section<Uncertainty> keys;
    keys.number("capacity_fraction", &Uncertainty::capacity_fraction, fraction,
                {.help = "Battery capacity.", .source = assumed})
        .number("cell_resistance_fraction", &Uncertainty::cell_resistance_fraction, fraction,
                {.help = "Battery resistance.", .source = assumed})
        .number("temperature_c", &Uncertainty::temperature_c, {.unit = "K", .min = 0, .max = 20},
                {.help = "Air temperature, the same shift all day.", .source = assumed})
        .number("resistivity_decades", &Uncertainty::resistivity_decades,
                {.unit = "decades", .min = 0, .max = 2},
                {.help = "log10 of each layer's resistivity.", .source = assumed})
        .number("natural_noise_db", &Uncertainty::natural_noise_db, decibel,
                {.help = "Natural field.",
                 .source = "10 to 90 % spread of a factor of 2 either way "
                           "(tests/reference/field/natural_b_models.csv)"})
        .number("mains_db", &Uncertainty::mains_db, decibel, {.help = "Mains field.", .source = assumed})
        .number("times_fraction", &Uncertainty::times_fraction, fraction,
                {.help = "Set-up times, pack-up times and legs, each by itself.",
                 .source = "estimate of practitioners (tests/reference/field)"})
        .number("moment_fraction", &Uncertainty::moment_fraction, fraction,
                {.help = "Moment of both loops: what the current is off by.", .source = assumed})
        .number("loop_azimuth_deg", &Uncertainty::loop_azimuth_deg, {.unit = "deg", .min = 0, .max = 45},
                {.help = "Azimuth of each loop as it was raised.", .source = assumed})
        .number("loop_tilt_deg", &Uncertainty::loop_tilt_deg, {.unit = "deg", .min = 0, .max = 45},
                {.help = "Lean of each loop.", .source = assumed})
        .number("loop_area_fraction", &Uncertainty::loop_area_fraction, fraction,
                {.help = "Area of each loop: not flat, not of the nominal size.", .source = assumed});
    return keys;
}

}  // namespace ampturn::plan::file
