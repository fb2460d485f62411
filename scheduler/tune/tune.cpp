#include "scheduler/tune/tune.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/receiver/noise.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/earth_of_plan.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/sweep/quantize.hpp"
#include "scheduler/tune/tune_table.hpp"

namespace ampturn::plan {

namespace {

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
        if (!station.requires_frequency(f.frequency_hz)) continue;
        ++out.required;
        if (!options.biased_too &&
            bias_ratio(response.loop_a[s], response.loop_b[s], response.plane_impedance_ohm, f.frequency_hz,
                       plan.targets) > 1) {
            ++out.biased;
            continue;
        }
        const double surface_ohm = std::abs(response.plane_impedance_ohm);
        const int hour = noisiest_hour(plan, station, f.frequency_hz, surface_ohm);
        const model::NoiseAt noise = noise_at_station(plan, station, hour, f.frequency_hz, surface_ohm);
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
    const TuneTable table = tune_table(plan);
    const std::vector<TuneRow>& rows = table.rows;
    std::vector<double> frequencies_hz;
    for (const TuneRow& row : rows) frequencies_hz.push_back(row.frequency.frequency_hz);
    const model::LayeredEarth earth = earth_of(plan);
    const auto responses = station_responses(plan, earth, frequencies_hz, options.threads);

    std::vector<AllocationItem> items;
    std::vector<Demand> demands;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        demands.push_back(demand_of(plan, options, responses[i], rows[i].frequency, rows[i].bounds));
        items.push_back({demands.back().requirements, rows[i].bounds, rows[i].watts_a, rows[i].watts_b,
                         rows[i].quantum_s, rows[i].quantum_s});
    }
    const AllocationBudget& budget = table.budget;
    const bool energy_first = options.minimise == TuneFor::energy;
    const std::optional<Allocation> allocation = allocate(items, budget, energy_first);
    if (!allocation) throw budget_too_small(plan, table);

    // The plan's own dwells, by the same measure: first the relaxation, then the cost.
    std::vector<DwellPair> own, tuned = allocation->dwells;
    double own_relaxation = 1, tuned_relaxation = 1;
    bool own_allowed = true;
    for (std::size_t i = 0; i < items.size(); ++i) {
        own.push_back(rows[i].own);
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
    out.before = {time_of(own) + table.overhead_s, (energy_of(items, own) + table.overhead_j) / 3600, 0};
    out.after = {time_of(tuned) + table.overhead_s, (energy_of(items, tuned) + table.overhead_j) / 3600, 0};
    for (std::size_t i = 0; i < items.size(); ++i) {
        const Demand& demand = demands[i];
        const std::size_t a = rows[i].step_a, b = rows[i].step_b;
        TunedFrequency t{};
        t.frequency_hz = rows[i].frequency.frequency_hz;
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
        t.seconds_after = tuned[i].a_s + tuned[i].b_s + rows[i].overhead_s;
        t.energy_wh_after =
            (items[i].watts_a * tuned[i].a_s + items[i].watts_b * tuned[i].b_s + rows[i].overhead_j) / 3600;
        t.alternative_hz = nearest_clear_hz(plan, t.frequency_hz);
        if (t.alternative_hz > 0) {
            const auto moved_response = station_responses(plan, earth, {t.alternative_hz}, options.threads);
            SurveyFrequency moved = rows[i].frequency;
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
                t.alternative_seconds = best->a_s + best->b_s + rows[i].overhead_s;
            else
                t.alternative_hz = 0;
        }
        t.explanation = explanation_of(t, items[i].bounds, rows[i].heat_limits);
        out.before.relaxation = std::max(out.before.relaxation, t.relaxation_before);
        out.after.relaxation = std::max(out.after.relaxation, t.relaxation_after);
        out.plan.sweep.steps[a].dwell_s = t.after.a_s;
        out.plan.sweep.steps[b].dwell_s = t.after.b_s;
        out.frequencies.push_back(std::move(t));
    }
    return out;
}

}  // namespace ampturn::plan
