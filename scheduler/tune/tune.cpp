#include "scheduler/tune/tune.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/receiver/line_placement.hpp"
#include "model/receiver/noise.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"
#include "scheduler/tune/tune_table.hpp"

namespace ampturn::tune {

namespace {

/// What one frequency has to serve.
struct Demand {
    std::vector<DwellRequirement> requirements;
    std::vector<Decider> owners;                  // as many
    std::vector<reading::ReadingInput> readings;  // that are served
    std::vector<int> sweeps;                      // recorded at each of their stations
    int required = 0, biased = 0, too_weak = 0, served = 0;
};

/// The reading of a station at the hour with most noise, by one sweep of the plan's own table.
reading::ReadingInput planned_reading(const plan::Plan& plan, const reading::FrequencyResponse& response,
                                      std::size_t station_index, const reading::SurveyFrequency& f) {
    const plan::Station& station = plan.stations[station_index];
    const double surface_ohm = std::abs(response.plane_impedance_ohm[station_index]);
    const int hour = noisiest_hour(plan, station, f.frequency_hz, surface_ohm);
    return reading::reading_input(plan, response, station_index, f.sent_a, f.sent_b,
                                  setup::noise_at_station(plan, station, hour, f.frequency_hz, surface_ohm));
}

/// What of a dwell may be left over behind its whole records: one of the eight or more that it holds.
double dwell_over_records(const plan::Plan& plan) {
    return plan.sweep.coherent_records ? 1 : 1 + 1.0 / static_cast<double>(setup::records_wanted);
}

/// Per sweep that the station records, which share the dwell, and with a margin.
std::vector<DwellRequirement> requirements_of(const std::vector<reading::DwellTerm>& terms,
                                              const plan::Plan& plan, int sweeps, double margin_fraction) {
    const double tighter = dwell_over_records(plan) / ((1 - margin_fraction) * (1 - margin_fraction));
    std::vector<DwellRequirement> out;
    for (const reading::DwellTerm& term : terms)
        out.push_back({tighter * term.a_s / sweeps, tighter * term.b_s / sweeps});
    return out;
}

Demand demand_of(const plan::Plan& plan, const TuneOptions& options,
                 const reading::FrequencyResponse& response, const reading::SurveyFrequency& f,
                 const DwellBounds& bounds) {
    Demand out;
    const std::vector<int> sweeps = plan::sweeps_recorded(plan);
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const plan::Station& station = plan.stations[s];
        if (!station.requires_frequency(f.frequency_hz)) continue;
        ++out.required;
        const reading::ReadingInput input = planned_reading(plan, response, s, f);
        if (!options.biased_too &&
            reading::bias_ratio(reading::read_tensor_if_any(input), plan.targets) > 1) {
            ++out.biased;
            continue;
        }
        const reading::DwellTerms terms = reading::dwell_terms(input, plan.targets);
        const auto own = requirements_of(terms.uncorrelated, plan, sweeps[s], options.margin_fraction);
        if (!(least_relaxation(own, bounds) <= 1)) {
            ++out.too_weak;
            continue;
        }
        ++out.served;
        out.requirements.insert(out.requirements.end(), own.begin(), own.end());
        for (const reading::DwellTerm& term : terms.uncorrelated)
            out.owners.push_back({static_cast<int>(s), term.element});
        out.readings.push_back(input);
        out.sweeps.push_back(sweeps[s]);
    }
    return out;
}

DwellLimit limit_of(const TunedFrequency& t, const DwellBounds& bounds, bool hot) {
    if (t.relaxation_after > 1) return DwellLimit::budget;
    if (t.after.a_s <= bounds.lower_a_s && t.after.b_s <= bounds.lower_b_s) return DwellLimit::shortest_dwell;
    if (t.after.a_s >= bounds.upper_a_s || t.after.b_s >= bounds.upper_b_s)
        return hot ? DwellLimit::heat : DwellLimit::longest_dwell;
    return DwellLimit::error_target;
}

void check(const TuneOptions& options) {
    if (!(options.margin_fraction >= 0 && options.margin_fraction < 0.9))
        throw base::InputError(base::InputProblem{.file = "--margin",
                                                  .found = fmt::format("{:g}", options.margin_fraction),
                                                  .allowed = "0 to 0.9"});
}

/// The nearest clean frequency to a disturbed one of the table, as `check` and the frequency list have it; 0: none, or not
/// disturbed.
double alternative_hz(const std::vector<model::receiver::PlacementVerdict>& verdicts, double requested_hz) {
    for (const model::receiver::PlacementVerdict& v : verdicts)
        if (v.requested_hz == requested_hz && v.disturbed()) return v.alternative_hz.value_or(0);
    return 0;
}

/// Everything that is weighed: rows of the table, what each has to serve, and the same as the allocation
/// takes it.
struct Tuning {
    const plan::Plan& plan;
    const TuneOptions& options;
    const setup::SweepSetup& setup;
    TuneTable table;
    std::vector<model::receiver::PlacementVerdict> verdicts;  // on the frequencies of the plan's table
    std::vector<Demand> demands;
    std::vector<AllocationItem> items;
    bool energy_first;

    double cost(const std::vector<DwellPair>& dwells) const {
        return energy_first ? energy_of(items, dwells) : time_of(dwells);
    }
    double relaxation(const std::vector<DwellPair>& dwells) const {
        double worst = 1;
        for (std::size_t i = 0; i < items.size(); ++i)
            worst = std::max(worst, relaxation_of(items[i].requirements, dwells[i]));
        return worst;
    }
    TunedSums sums(const std::vector<DwellPair>& dwells) const {
        return {time_of(dwells) + table.overhead_s, (energy_of(items, dwells) + table.overhead_j) / 3600, 0,
                0};
    }
};

Tuning tuning_of(const plan::Plan& plan, const setup::SweepSetup& setup, const TuneOptions& options) {
    Tuning out{.plan = plan,
               .options = options,
               .setup = setup,
               .table = tune_table(plan, setup),
               .verdicts = plan::judge_placement_of(plan),
               .demands = {},
               .items = {},
               .energy_first = options.minimise == TuneFor::energy};
    std::vector<double> frequencies_hz;
    for (const TuneRow& row : out.table.rows) frequencies_hz.push_back(row.frequency.frequency_hz);
    const auto responses = reading::station_responses(plan, setup, frequencies_hz, options.threads);
    for (std::size_t i = 0; i < out.table.rows.size(); ++i) {
        const TuneRow& row = out.table.rows[i];
        out.demands.push_back(demand_of(plan, options, responses[i], row.frequency, row.bounds));
        out.items.push_back({out.demands.back().requirements, row.bounds, row.watts_a, row.watts_b,
                             row.quantum_s, row.quantum_s});
    }
    return out;
}

std::vector<DwellPair> own_dwells(const TuneTable& table) {
    std::vector<DwellPair> own;
    for (const TuneRow& row : table.rows) own.push_back(row.own);
    return own;
}

/// Within every step's bounds and the plan's budgets.
bool allowed(const Tuning& tuning, const std::vector<DwellPair>& dwells) {
    for (std::size_t i = 0; i < dwells.size(); ++i) {
        const DwellBounds& bounds = tuning.items[i].bounds;
        if (!(dwells[i].a_s >= bounds.lower_a_s && dwells[i].a_s <= bounds.upper_a_s &&
              dwells[i].b_s >= bounds.lower_b_s && dwells[i].b_s <= bounds.upper_b_s))
            return false;
    }
    const AllocationBudget& budget = tuning.table.budget;
    return (!budget.time_s || time_of(dwells) <= *budget.time_s) &&
           (!budget.energy_j || energy_of(tuning.items, dwells) <= *budget.energy_j);
}

/// Whether the plan's own dwells do as well: first by relaxation, then by cost.
bool own_are_as_good(const Tuning& tuning, const std::vector<DwellPair>& own,
                     const std::vector<DwellPair>& tuned) {
    if (!allowed(tuning, own)) return false;
    const double own_relaxation = tuning.relaxation(own), tuned_relaxation = tuning.relaxation(tuned);
    return own_relaxation < tuned_relaxation ||
           (own_relaxation == tuned_relaxation && tuning.cost(own) <= tuning.cost(tuned));
}

/// Station and element whose error bar is the largest against its target.
std::optional<Decider> decider_of(const Demand& demand, const DwellPair& dwells) {
    double largest = -1;
    std::optional<Decider> owner;
    for (std::size_t k = 0; k < demand.requirements.size(); ++k) {
        const double ratio = relaxation_of({demand.requirements[k]}, dwells);
        if (ratio > largest) {
            largest = ratio;
            owner = demand.owners[k];
        }
    }
    return owner;
}

/// The nearest clear frequency and what the row would cost there, where it serves as many stations.
void add_alternative(const Tuning& tuning, std::size_t i, double relaxation, TunedFrequency& t) {
    const TuneRow& row = tuning.table.rows[i];
    const double clear_hz = alternative_hz(tuning.verdicts, tuning.plan.sweep.steps[row.step_a].frequency_hz);
    if (clear_hz == 0) return;
    const auto response = reading::station_responses(tuning.plan, tuning.setup, std::vector{clear_hz},
                                                     tuning.options.threads)[0];
    reading::SurveyFrequency moved = row.frequency;
    moved.frequency_hz = clear_hz;
    // Stations that asked for the old frequency ask for the new one.
    plan::Plan asking = tuning.plan;
    for (plan::Station& station : asking.stations)
        for (double& f : station.required_frequencies_hz)
            if (std::fabs(f - t.frequency_hz) <= 1e-3 * f) f = clear_hz;
    const Demand there = demand_of(asking, tuning.options, response, moved, row.bounds);
    const auto best = cheapest_dwells(there.requirements, {row.watts_a, row.watts_b}, row.bounds, relaxation);
    if (!best || there.served < tuning.demands[i].served) return;
    t.alternative_hz = clear_hz;
    t.alternative_seconds = best->a_s + best->b_s + row.overhead_s;
}

TunedFrequency tuned_frequency(const Tuning& tuning, std::size_t i, const DwellPair& tuned,
                               double relaxation) {
    const Demand& demand = tuning.demands[i];
    const TuneRow& row = tuning.table.rows[i];
    TunedFrequency t{};
    t.frequency_hz = row.frequency.frequency_hz;
    t.step_a = row.step_a;
    t.step_b = row.step_b;
    t.before = row.own;
    t.after = tuned;
    t.required = demand.required;
    t.biased = demand.biased;
    t.too_weak = demand.too_weak;
    t.served = demand.served;
    t.relaxation_before = relaxation_of(demand.requirements, row.own);
    t.relaxation_after = relaxation_of(demand.requirements, tuned);
    t.decided_by = decider_of(demand, tuned);
    t.seconds_after = tuned.a_s + tuned.b_s + row.overhead_s;
    t.energy_wh_after = (row.watts_a * tuned.a_s + row.watts_b * tuned.b_s + row.overhead_j) / 3600;
    add_alternative(tuning, i, relaxation, t);
    t.set_by = limit_of(t, row.bounds, row.heat_limits);
    return t;
}

/// The largest error bar over its target of what a frequency serves, with these dwells of one sweep; 0: nothing served.
struct ErrorOverTarget {
    double uncorrelated = 0, correlated = 0;  // by the view of the noise
};
ErrorOverTarget error_over_target(const Tuning& tuning, const Demand& demand, const DwellPair& dwells) {
    const auto recorded_s = [&](double frequency_hz, double dwell_s) {
        return setup::sampling_for(tuning.plan.receiver, frequency_hz, dwell_s).recorded_s();
    };
    ErrorOverTarget worst;
    for (std::size_t i = 0; i < demand.readings.size(); ++i) {
        reading::ReadingInput input = demand.readings[i];
        input.sent_a.dwell_s = demand.sweeps[i] * recorded_s(input.frequency_hz, dwells.a_s);
        input.sent_b.dwell_s = demand.sweeps[i] * recorded_s(input.frequency_hz, dwells.b_s);
        const auto tensor = reading::read_tensor_if_any(input);
        const auto count = [&](double& largest, reading::NoiseView view) {
            largest = std::max(largest, reading::error_ratio(tensor, tuning.plan.targets, view));
        };
        count(worst.uncorrelated, reading::NoiseView::uncorrelated);
        count(worst.correlated, reading::NoiseView::correlated);
    }
    return worst;
}

/// Dwells, durations and error bars as the unit's whole cycles and the receiver's whole records give them, before and after.
void tell_as_sent(const Tuning& tuning, Tuned& tuned) {
    const setup::PlannedTable &before = tuning.setup.table, after = setup::sweep_setup_of(tuned.plan).table;
    tuned.before.duration_s = before.duration_s;
    tuned.after.duration_s = after.duration_s;
    for (std::size_t i = 0; i < tuned.frequencies.size(); ++i) {
        TunedFrequency& t = tuned.frequencies[i];
        const TuneRow& row = tuning.table.rows[i];
        t.before = sent_dwells(row, before);
        t.after = sent_dwells(row, after);
        t.seconds_after = t.after.a_s + t.after.b_s + row.overhead_s;
        const ErrorOverTarget old = error_over_target(tuning, tuning.demands[i], t.before),
                              now = error_over_target(tuning, tuning.demands[i], t.after);
        t.error_before = old.uncorrelated;
        t.error_after = now.uncorrelated;
        t.correlated_before = old.correlated;
        t.correlated_after = now.correlated;
        tuned.before.error = std::max(tuned.before.error, t.error_before);
        tuned.after.error = std::max(tuned.after.error, t.error_after);
    }
}

}  // namespace

Tuned tune(const plan::Plan& plan, const TuneOptions& options) {
    return tune(plan, setup::sweep_setup_of(plan), options);
}

Tuned tune(const plan::Plan& plan, const setup::SweepSetup& setup, const TuneOptions& options) {
    check(options);
    const Tuning tuning = tuning_of(plan, setup, options);
    const std::optional<Allocation> allocation =
        allocate(tuning.items, tuning.table.budget, tuning.energy_first);
    if (!allocation) throw budget_too_small(plan, tuning.table);

    const std::vector<DwellPair> own = own_dwells(tuning.table);
    const bool keep = own_are_as_good(tuning, own, allocation->dwells);
    const std::vector<DwellPair>& tuned = keep ? own : allocation->dwells;
    Tuned out{.plan = plan,
              .frequencies = {},
              .before = tuning.sums(own),
              .after = tuning.sums(tuned),
              .relaxation = keep ? tuning.relaxation(own) : allocation->relaxation,
              .kept_input = keep};
    for (std::size_t i = 0; i < tuned.size(); ++i) {
        const TunedFrequency t = tuned_frequency(tuning, i, tuned[i], out.relaxation);
        out.before.relaxation = std::max(out.before.relaxation, t.relaxation_before);
        out.after.relaxation = std::max(out.after.relaxation, t.relaxation_after);
        out.plan.sweep.steps[t.step_a].dwell_s = t.after.a_s;
        out.plan.sweep.steps[t.step_b].dwell_s = t.after.b_s;
        out.frequencies.push_back(t);
    }
    tell_as_sent(tuning, out);
    return out;
}

std::optional<TunedSums> tuned_with_flat_coils(const plan::Plan& plan, const TuneOptions& options) {
    const std::optional<plan::Plan> flat = setup::with_flat_coils(plan);
    if (!flat) return std::nullopt;
    return tune(*flat, options).after;
}

}  // namespace ampturn::tune
