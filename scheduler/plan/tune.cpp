#include "scheduler/plan/tune.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/noise.hpp"
#include "scheduler/plan/earth_of_plan.hpp"
#include "scheduler/plan/number_text.hpp"
#include "scheduler/plan/quantize.hpp"
#include "scheduler/plan/reading_quality.hpp"
#include "scheduler/plan/receiver_of_plan.hpp"
#include "scheduler/plan/required_pairs.hpp"
#include "scheduler/plan/rig_of_plan.hpp"
#include "scheduler/plan/station_response.hpp"
#include "scheduler/plan/survey_frequency.hpp"
#include "scheduler/plan/tune_budget.hpp"

namespace ampturn::plan {

namespace {

constexpr double least_watts = 1e-6;  // so that a second always has a price

const char* word_of(Element element) {
    switch (element) {
        case Element::xx:
            return "xx";
        case Element::xy:
            return "xy";
        case Element::yx:
            return "yx";
        case Element::yy:
            return "yy";
    }
    return "";
}

/// The noisiest of the hours crews are out.
model::NoiseAt noisiest(const Plan& plan, const Station& station, double frequency_hz, double surface_ohm) {
    const int first = static_cast<int>(plan.day.start_s / 3600),
              last = static_cast<int>(plan.day.end_s / 3600);
    model::NoiseAt worst = noise_at_station(plan, station, first, frequency_hz, surface_ohm);
    for (int hour = first + 1; hour <= last; ++hour) {
        const model::NoiseAt here = noise_at_station(plan, station, hour, frequency_hz, surface_ohm);
        if (here.h.total() > worst.h.total()) worst = here;
    }
    return worst;
}

/// What one frequency has to serve.
struct Demand {
    std::vector<DwellRequirement> requirements;
    std::vector<std::string> whose;      // as many
    std::vector<DwellRequirement> tied;  // as many: with the natural field's E and H tied, for comparison
    int required = 0, biased = 0, too_weak = 0, served = 0;
};

Demand demand_of(const Plan& plan, const TuneOptions& options, const FrequencyResponse& response,
                 const SurveyFrequency& f, const DwellBounds& bounds) {
    Demand out;
    const double enbw = noise_bandwidth_bins(plan.receiver.window);
    const double tighter = 1 / ((1 - options.margin_fraction) * (1 - options.margin_fraction));
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const Station& station = plan.stations[s];
        if (!is_required(station, f.frequency_hz)) continue;
        ++out.required;
        if (!options.biased_too &&
            bias_ratio(response.loop_a[s], response.loop_b[s], response.plane_impedance_ohm, f.frequency_hz,
                       plan.targets) > 1) {
            ++out.biased;
            continue;
        }
        const model::NoiseAt noise =
            noisiest(plan, station, f.frequency_hz, std::abs(response.plane_impedance_ohm));
        const auto terms_in = [&](NaturalView view) {
            return dwell_terms(response.loop_a[s], response.loop_b[s], f.moment_a_a_m2, f.moment_b_a_m2,
                               noise, enbw, response.plane_impedance_ohm, plan.targets, view);
        };
        const auto requirement = [&](const DwellTerm& term) {
            return DwellRequirement{tighter * term.a_s / station.sweeps, tighter * term.b_s / station.sweeps};
        };
        const std::vector<DwellTerm> terms = terms_in(NaturalView::untied);
        std::vector<DwellRequirement> mine;
        for (const DwellTerm& term : terms) mine.push_back(requirement(term));
        if (!(least_relaxation(mine, bounds) <= 1)) {
            ++out.too_weak;
            continue;
        }
        ++out.served;
        for (std::size_t k = 0; k < terms.size(); ++k) {
            out.requirements.push_back(mine[k]);
            out.whose.push_back(fmt::format("{} {}", station.name, word_of(terms[k].element)));
        }
        for (const DwellTerm& term : terms_in(NaturalView::tied)) out.tied.push_back(requirement(term));
    }
    return out;
}

/// Nominal dwells a step can take: whole cycles, or whole records.
double quantum_s(const Plan& plan, double frequency_hz) {
    return plan.sweep.coherent_records ? plan.receiver.record_length / plan.receiver.sample_rate_hz
                                       : 1 / frequency_hz;
}

/// Bounds of a step on its quanta: the lower rounded up, the upper down, heat counted.
std::pair<double, double> bounds_of(const Plan& plan, const Step& step, const PlannedOutput& output) {
    const double quantum = quantum_s(plan, output.frequency_hz);
    const double longest_s = std::min(step.max_dwell_s, output.heat_limit_s);
    const double lower_s = rounded_up(step.min_dwell_s, quantum);
    const double upper_s = quantum * std::floor(longest_s / quantum * (1 + 1e-12));
    if (upper_s < lower_s || upper_s <= 0)
        throw plan.error(
            step.key,
            fmt::format("no whole {} between {:g} s and {:g} s",
                        plan.sweep.coherent_records ? "record" : "cycle", step.min_dwell_s, longest_s),
            output.heat_limit_s < step.max_dwell_s ? "a dwell that heat allows: less current"
                                                   : "a wider range of dwells");
    return {lower_s, upper_s};
}

/// Settle, ramps and gap of a step: seconds, and joules with a third of the power in the ramps (a linear ramp
/// of current).
struct Overhead {
    double seconds, joules;
};
Overhead overhead_of(const Step& step, const PlannedOutput& output, double idle_w) {
    const double ramps_s = 2 * step.ramp_cycles / output.frequency_hz;
    const double still_s = step.settle_s + step.gap_s;
    return {ramps_s + still_s, ramps_s * output.battery_w / 3 + still_s * idle_w};
}

double nearest_clear_hz(const Plan& plan, double frequency_hz) {
    const model::Mains mains{.frequency_hz = plan.noise.mains_hz,
                             .weak_grid = plan.noise.weak_grid,
                             .orders = plan.noise.mains_orders};
    const auto clear = [&](double f) {
        if (plan.noise.mains_hz > 0 && model::mains_clash_order(mains, f) > 0) return false;
        return std::none_of(
            plan.noise.interferers.begin(), plan.noise.interferers.end(),
            [&](const Interferer& i) { return std::fabs(f - i.frequency_hz) <= i.half_width_hz; });
    };
    if (clear(frequency_hz)) return 0;
    for (int step = 1; step <= 2000; ++step)  // up to 20 % away, in ten-thousandths
        for (const double sign : {1.0, -1.0}) {
            const double f =
                nearest_drive(frequency_hz * (1 + sign * step * 1e-4), plan.driver.clock_hz).frequency_hz;
            if (clear(f)) return f;
        }
    return 0;
}

std::string explanation_of(const TunedFrequency& t, const DwellBounds& bounds, bool hot) {
    std::string who = t.served == 0
                          ? (t.biased == t.required ? "no station is far enough for a plane wave"
                             : t.too_weak > 0       ? "no plane station can hear it even at the longest dwell"
                                                    : "no station asks for it")
                          : fmt::format("{} of {} stations, {} decides", t.served, t.required, t.decided_by);
    if (t.served > 0 && t.too_weak > 0) who += fmt::format(", {} out of reach", t.too_weak);
    const bool shortest = t.after.a_s <= bounds.lower_a_s && t.after.b_s <= bounds.lower_b_s;
    const bool longest = t.after.a_s >= bounds.upper_a_s || t.after.b_s >= bounds.upper_b_s;
    std::string limit = shortest  ? "shortest dwell"
                        : longest ? (hot ? "heat" : "longest dwell")
                                  : "error target";
    if (t.relaxation_after > 1)
        limit = fmt::format("budget: error {} times its target", significant(t.relaxation_after, 3));
    std::string out = fmt::format("{}; set by {}; costs {} and {} Wh a sweep", who, limit,
                                  duration_text(t.seconds_after), significant(t.energy_wh_after, 2));
    if (t.served == 0) out += "; dropping it saves all of that";
    if (t.alternative_hz > 0)
        out += fmt::format("; at {} Hz, clear of mains and interferers, it would cost {}",
                           brief(t.alternative_hz, 6), duration_text(t.alternative_seconds));
    return out;
}

}  // namespace

Tuned tune(const Plan& plan, const TuneOptions& options) {
    if (!(options.margin_fraction >= 0 && options.margin_fraction < 0.9))
        throw InputError(InputProblem{.file = "--margin",
                                      .found = fmt::format("{:g}", options.margin_fraction),
                                      .allowed = "0 to 0.9"});
    const model::Rig rig = rig_of(plan);
    const double air_c = mean_temperature_c(plan.day);
    const PlannedTable table = table_of(plan, rig, air_c);
    const std::vector<PlannedOutput> outputs = planned_outputs(plan, rig, table, air_c);
    const std::vector<SurveyFrequency> frequencies = survey_frequencies(table, outputs);
    std::vector<double> frequencies_hz;
    for (const SurveyFrequency& f : frequencies) {
        frequencies_hz.push_back(f.frequency_hz);
        const std::string& key = plan.sweep.steps[f.steps_a.empty() ? f.steps_b[0] : f.steps_a[0]].key;
        if (f.steps_a.size() != 1 || f.steps_b.size() != 1 || outputs[f.steps_a[0]].drive == Drive::both)
            throw plan.error(
                key,
                fmt::format("{} steps of loop A and {} of loop B at {:g} Hz", f.steps_a.size(),
                            f.steps_b.size(), f.frequency_hz),
                "exactly one step of each loop at a frequency, so that their dwells can be weighed");
    }
    const model::LayeredEarth earth = earth_of(plan);
    const auto responses = station_responses(plan, earth, frequencies_hz, options.threads);

    std::vector<AllocationItem> items;
    std::vector<Demand> demands;
    std::vector<Overhead> overheads;
    double overhead_s = 0, overhead_j = 0;
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        const std::size_t a = frequencies[i].steps_a[0], b = frequencies[i].steps_b[0];
        const auto [lower_a, upper_a] = bounds_of(plan, plan.sweep.steps[a], outputs[a]);
        const auto [lower_b, upper_b] = bounds_of(plan, plan.sweep.steps[b], outputs[b]);
        const DwellBounds bounds{lower_a, upper_a, lower_b, upper_b};
        demands.push_back(demand_of(plan, options, responses[i], frequencies[i], bounds));
        items.push_back({demands.back().requirements, bounds, std::max(least_watts, outputs[a].battery_w),
                         std::max(least_watts, outputs[b].battery_w),
                         quantum_s(plan, frequencies[i].frequency_hz),
                         quantum_s(plan, frequencies[i].frequency_hz)});
        const Overhead of_a = overhead_of(plan.sweep.steps[a], outputs[a], rig.design.idle_w),
                       of_b = overhead_of(plan.sweep.steps[b], outputs[b], rig.design.idle_w);
        overheads.push_back({of_a.seconds + of_b.seconds, of_a.joules + of_b.joules});
        overhead_s += overheads.back().seconds;
        overhead_j += overheads.back().joules;
    }

    AllocationBudget budget;
    if (plan.sweep.time_budget_s) budget.time_s = *plan.sweep.time_budget_s - overhead_s;
    if (plan.sweep.energy_budget_wh) budget.energy_j = 3600 * *plan.sweep.energy_budget_wh - overhead_j;
    const bool energy_first = options.minimise == TuneFor::energy;
    const std::optional<Allocation> allocation = allocate(items, budget, energy_first);
    if (!allocation) {
        std::vector<DwellPair> shortest;
        for (const AllocationItem& item : items)
            shortest.push_back({item.bounds.lower_a_s, item.bounds.lower_b_s});
        const double least_s = time_of(shortest) + overhead_s,
                     least_wh = (energy_of(items, shortest) + overhead_j) / 3600;
        const bool time_short = plan.sweep.time_budget_s && least_s > *plan.sweep.time_budget_s;
        throw plan.error(time_short ? "sweep.time_budget_s" : "sweep.energy_budget_wh",
                         time_short ? fmt::format("{:g} s", *plan.sweep.time_budget_s)
                                    : fmt::format("{:g} Wh", plan.sweep.energy_budget_wh.value_or(0)),
                         fmt::format("at least {} s and {} Wh, what the shortest dwells of the table take",
                                     brief(std::ceil(least_s), 6), significant(least_wh, 4)));
    }

    // The plan's own dwells, by the same measure: first the relaxation, then the cost.
    std::vector<DwellPair> own, tuned = allocation->dwells;
    double own_relaxation = 1, tuned_relaxation = 1;
    bool own_allowed = true;
    for (std::size_t i = 0; i < items.size(); ++i) {
        const Step &a = plan.sweep.steps[frequencies[i].steps_a[0]],
                   &b = plan.sweep.steps[frequencies[i].steps_b[0]];
        own.push_back({a.dwell_s, b.dwell_s});
        own_relaxation = std::max(own_relaxation, relaxation_of(items[i].requirements, own[i]));
        tuned_relaxation = std::max(tuned_relaxation, relaxation_of(items[i].requirements, tuned[i]));
        const DwellBounds& bounds = items[i].bounds;
        own_allowed = own_allowed && own[i].a_s >= bounds.lower_a_s && own[i].a_s <= bounds.upper_a_s &&
                      own[i].b_s >= bounds.lower_b_s && own[i].b_s <= bounds.upper_b_s;
    }
    own_allowed = own_allowed && (!budget.time_s || time_of(own) <= *budget.time_s) &&
                  (!budget.energy_j || energy_of(items, own) <= *budget.energy_j);
    const auto cost = [&](const std::vector<DwellPair>& d) {
        return energy_first ? energy_of(items, d) : time_of(d);
    };
    const bool keep = own_allowed && (own_relaxation < tuned_relaxation ||
                                      (own_relaxation == tuned_relaxation && cost(own) <= cost(tuned)));
    if (keep) tuned = own;

    Tuned out{.plan = plan,
              .frequencies = {},
              .before = {},
              .after = {},
              .relaxation = keep ? own_relaxation : allocation->relaxation,
              .kept_input = keep};
    out.before = {time_of(own) + overhead_s, (energy_of(items, own) + overhead_j) / 3600, 0};
    out.after = {time_of(tuned) + overhead_s, (energy_of(items, tuned) + overhead_j) / 3600, 0};
    for (std::size_t i = 0; i < items.size(); ++i) {
        const Demand& demand = demands[i];
        const std::size_t a = frequencies[i].steps_a[0], b = frequencies[i].steps_b[0];
        TunedFrequency t{};
        t.frequency_hz = frequencies[i].frequency_hz;
        t.step_a = a;
        t.step_b = b;
        t.before = own[i];
        t.after = tuned[i];
        t.required = demand.required;
        t.biased = demand.biased;
        t.too_weak = demand.too_weak;
        t.served = demand.served;
        t.relaxation_before = relaxation_of(demand.requirements, own[i]);
        t.relaxation_after = relaxation_of(demand.requirements, tuned[i]);
        t.tied_before = relaxation_of(demand.tied, own[i]);
        t.tied_after = relaxation_of(demand.tied, tuned[i]);
        double largest = -1;
        for (std::size_t k = 0; k < demand.requirements.size(); ++k) {
            const double ratio = relaxation_of({demand.requirements[k]}, tuned[i]);
            if (ratio > largest) {
                largest = ratio;
                t.decided_by = demand.whose[k];
            }
        }
        t.seconds_after = tuned[i].a_s + tuned[i].b_s + overheads[i].seconds;
        t.energy_wh_after =
            (items[i].watts_a * tuned[i].a_s + items[i].watts_b * tuned[i].b_s + overheads[i].joules) / 3600;
        t.alternative_hz = nearest_clear_hz(plan, t.frequency_hz);
        if (t.alternative_hz > 0) {
            const auto moved_response = station_responses(plan, earth, {t.alternative_hz}, options.threads);
            SurveyFrequency moved = frequencies[i];
            moved.frequency_hz = t.alternative_hz;
            // Stations that asked for the old frequency ask for the new one.
            Plan asking = plan;
            for (Station& station : asking.stations)
                for (double& f : station.required_frequencies_hz)
                    if (std::fabs(f - t.frequency_hz) <= 1e-3 * f) f = t.alternative_hz;
            const Demand there = demand_of(asking, options, moved_response[0], moved, items[i].bounds);
            const auto best = cheapest_dwells(there.requirements, {items[i].watts_a, items[i].watts_b},
                                              items[i].bounds, out.relaxation);
            if (best && there.served >= demand.served)
                t.alternative_seconds = best->a_s + best->b_s + overheads[i].seconds;
            else
                t.alternative_hz = 0;
        }
        const bool hot = outputs[a].heat_limit_s < plan.sweep.steps[a].max_dwell_s ||
                         outputs[b].heat_limit_s < plan.sweep.steps[b].max_dwell_s;
        t.explanation = explanation_of(t, items[i].bounds, hot);
        out.before.relaxation = std::max(out.before.relaxation, t.relaxation_before);
        out.after.relaxation = std::max(out.after.relaxation, t.relaxation_after);
        out.plan.sweep.steps[a].dwell_s = t.after.a_s;
        out.plan.sweep.steps[b].dwell_s = t.after.b_s;
        out.frequencies.push_back(std::move(t));
    }
    return out;
}

}  // namespace ampturn::plan
