#include "scheduler/rehearse/question/tune_question.hpp"

#include <algorithm>
#include <cmath>

#include "scheduler/day/day.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/rehearse/question/question.hpp"
#include "scheduler/rehearse/question/question_allocation.hpp"
#include "scheduler/tune/tune_table.hpp"

namespace ampturn::rehearse::question {
namespace {

/// What every sweep of the plan would send to the stations the question asks of.
std::vector<SentReading> planned_readings(const plan::Plan& plan, const tune::TuneTable& table,
                                          const std::vector<reading::FrequencyResponse>& responses) {
    std::vector<SentReading> readings;
    for (int s = 0; s < static_cast<int>(plan.stations.size()); ++s) {
        const plan::Station& station = plan.stations[static_cast<std::size_t>(s)];
        if (!plan::asked_of(*plan.question, station)) continue;
        for (std::size_t i = 0; i < table.rows.size(); ++i) {
            const reading::SurveyFrequency& f = table.rows[i].frequency;
            if (!(f.sent_a.sent() && f.sent_b.sent())) continue;
            readings.push_back({.station_index = s,
                                .frequency_index = i,
                                .hour = tune::noisiest_hour(
                                    plan, station, f.frequency_hz,
                                    std::abs(responses[i].plane_impedance_ohm[static_cast<std::size_t>(s)])),
                                .a = {f.sent_a.moment_a_m2_peak, 0},
                                .b = {f.sent_b.moment_a_m2_peak, 0},
                                .energy_wh = 0});
        }
    }
    return readings;
}

/// The plan's sweeps as the stations the question asks of share them.
struct SharedSweeps {
    std::vector<int> recorded;  // by station of the plan
    std::vector<double>
        energy_share;             // of each of its sweeps, by station: 1 over the stations asked that listen
    int sent_to_those_asked = 0;  // each once, however many of them listen
};
SharedSweeps shared_sweeps(const plan::Plan& plan) {
    SharedSweeps out{.recorded = plan::sweeps_recorded(plan),
                     .energy_share = std::vector<double>(plan.stations.size(), 0)};
    for (const plan::SiteVisit& visit : plan::site_visits(plan))
        for (const plan::ListeningGroup& group : visit.groups) {
            std::vector<std::size_t> asked;
            for (const std::size_t s : group.stations)
                if (plan::asked_of(*plan.question, plan.stations[s])) asked.push_back(s);
            for (const std::size_t s : asked) out.energy_share[s] = 1 / static_cast<double>(asked.size());
            if (!asked.empty()) out.sent_to_those_asked += group.sweeps;
        }
    return out;
}

/// Dwells and energy of all sweeps into the readings.
void set_dwells(const plan::Plan& plan, const tune::TuneTable& table, const std::vector<double>& dwells_s,
                QuestionData& data) {
    const SharedSweeps shared = shared_sweeps(plan);
    for (SentReading& reading : data.readings) {
        const tune::TuneRow& row = table.rows[reading.frequency_index];
        const auto station = static_cast<std::size_t>(reading.station_index);
        const int sweeps = shared.recorded[station];
        const double a_s = dwells_s[2 * reading.frequency_index],
                     b_s = dwells_s[2 * reading.frequency_index + 1];
        reading.a.dwell_s = sweeps * a_s;
        reading.b.dwell_s = sweeps * b_s;
        reading.energy_wh = shared.energy_share[station] * sweeps *
                            (row.watts_a * a_s + row.watts_b * b_s + row.overhead_j) / 3600;
    }
}

/// Steps: A and B of each row in turn.
QuestionDemand demand_of(const plan::Plan& plan, const tune::TuneTable& table, const QuestionData& data) {
    QuestionDemand demand{.steps = {}, .data = {}, .sought = data.sought};
    for (const tune::TuneRow& row : table.rows) {
        demand.steps.push_back({row.bounds.lower_a_s, row.bounds.upper_a_s, row.watts_a, row.quantum_s});
        demand.steps.push_back({row.bounds.lower_b_s, row.bounds.upper_b_s, row.watts_b, row.quantum_s});
    }
    const std::vector<int> recorded = plan::sweeps_recorded(plan);
    for (std::size_t i = 0; i < data.noise.size(); ++i) {
        const SentReading& reading = data.readings[i / 4];
        const DatumNoise& n = data.noise[i];
        const double sweeps = recorded[static_cast<std::size_t>(reading.station_index)];
        demand.data.push_back({.steady = n.steady,
                               .step_a = 2 * reading.frequency_index,
                               .step_b = 2 * reading.frequency_index + 1,
                               .a_s = (n.a_s + n.natural_a_s) / sweeps,
                               .b_s = (n.b_s + n.natural_b_s) / sweeps});
    }
    return demand;
}

double seconds_of(const tune::TuneTable& table, const std::vector<double>& dwells_s) {
    double sum = table.overhead_s;
    for (const double t : dwells_s) sum += t;
    return sum;
}

double joules_of(const tune::TuneTable& table, const std::vector<double>& dwells_s) {
    double sum = table.overhead_j;
    for (std::size_t i = 0; i < table.rows.size(); ++i)
        sum += table.rows[i].watts_a * dwells_s[2 * i] + table.rows[i].watts_b * dwells_s[2 * i + 1];
    return sum;
}

bool allowed(const tune::TuneTable& table, const QuestionDemand& demand, const tune::AllocationBudget& budget,
             const std::vector<double>& dwells_s) {
    for (std::size_t k = 0; k < dwells_s.size(); ++k)
        if (dwells_s[k] < demand.steps[k].lower_s || dwells_s[k] > demand.steps[k].upper_s) return false;
    const double slack = 1 + 1e-12;
    return (!budget.time_s || seconds_of(table, dwells_s) - table.overhead_s <= *budget.time_s * slack) &&
           (!budget.energy_j || joules_of(table, dwells_s) - table.overhead_j <= *budget.energy_j * slack);
}

/// Dwells at the smallest common share of both budgets, to half a per cent, that reach a distance.
std::optional<std::vector<double>> cheapest_reaching(const QuestionDemand& demand,
                                                     const tune::AllocationBudget& budget, double distance2,
                                                     unsigned threads) {
    std::optional<std::vector<double>> best;
    double low = 0, high = 1;
    for (double share = 1; high - low > 5e-3; share = low + (high - low) / 2) {
        tune::AllocationBudget part = budget;
        if (part.time_s) *part.time_s *= share;
        if (part.energy_j) *part.energy_j *= share;
        const auto found = allocate_for_question(demand, part, {}, threads);
        const bool reaches = found && found->distance2 >= distance2;
        if (reaches) best = found->dwells_s;
        if (!reaches && share == 1) return std::nullopt;
        (reaches ? high : low) = share;
    }
    return best;
}

DwellSetBy set_by(const tune::DwellPair& dwells, const tune::TuneRow& row) {
    const tune::DwellBounds& bounds = row.bounds;
    if (dwells.a_s <= bounds.lower_a_s && dwells.b_s <= bounds.lower_b_s) return DwellSetBy::shortest_dwell;
    if (dwells.a_s >= bounds.upper_a_s && dwells.b_s >= bounds.upper_b_s)
        return row.heat_limits ? DwellSetBy::heat : DwellSetBy::longest_dwell;
    return DwellSetBy::question;
}

/// Dwells and durations as the unit keeps them, before and after.
void tell_as_sent(const tune::TuneTable& table, const setup::PlannedTable& before, QuestionTuned& tuned) {
    const setup::PlannedTable after = setup::sweep_setup_of(tuned.plan).table;
    tuned.before.duration_s = before.duration_s;
    tuned.after.duration_s = after.duration_s;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        QuestionFrequency& f = tuned.frequencies[i];
        f.before = tune::sent_dwells(table.rows[i], before);
        f.after = tune::sent_dwells(table.rows[i], after);
        f.seconds_after = f.after.a_s + f.after.b_s + table.rows[i].overhead_s;
    }
}

}  // namespace

QuestionTuned tune_for_question(const plan::Plan& plan, const QuestionTuneOptions& options) {
    return tune_for_question(plan, setup::sweep_setup_of(plan), options);
}

QuestionTuned tune_for_question(const plan::Plan& plan, const setup::SweepSetup& setup,
                                const QuestionTuneOptions& options) {
    if (!plan.question) throw plan.error("question", "nothing", "a question to spend dwell on");
    const tune::TuneTable table = tune::tune_table(plan, setup);
    std::vector<double> frequencies_hz, own;
    for (const tune::TuneRow& row : table.rows) {
        frequencies_hz.push_back(row.frequency.frequency_hz);
        own.insert(own.end(), {row.own.a_s, row.own.b_s});
    }
    const auto responses = reading::station_responses(plan, setup, frequencies_hz, options.threads);
    QuestionData data = question_data(plan, setup, planned_readings(plan, table, responses), responses);
    if (data.readings.empty())
        throw plan.error("question", "no station that both loops can be sent to",
                         "a transmitter whose battery can deliver the table");
    const QuestionDemand demand = demand_of(plan, table, data);

    QuestionTuned out{.plan = plan, .frequencies = {}, .before = {}, .after = {}};
    tune::AllocationBudget budget = table.budget;
    out.own_budget = !budget.time_s && !budget.energy_j;
    if (out.own_budget)
        budget = {seconds_of(table, own) - table.overhead_s, joules_of(table, own) - table.overhead_j};
    const auto allocation = allocate_for_question(demand, budget, own, options.threads);
    if (!allocation) throw tune::budget_too_small(plan, table);
    if (budget.time_s) out.time_budget_s = *budget.time_s + table.overhead_s;
    if (budget.energy_j) out.energy_budget_wh = (*budget.energy_j + table.overhead_j) / 3600;
    const auto distance2 = [&](const std::vector<double>& dwells_s) {
        return separation(demand.sought, variances_at(demand, dwells_s)).distance2;
    };
    out.kept_input = allowed(table, demand, budget, own) && distance2(own) >= allocation->distance2;
    const std::vector<double> tuned = out.kept_input ? own : allocation->dwells_s;
    out.distance_limit = std::sqrt(allocation->distance2_limit);

    if (const auto dwells_s = cheapest_reaching(demand, budget, distance2(own), options.threads))
        out.as_before = {seconds_of(table, *dwells_s), joules_of(table, *dwells_s) / 3600};

    const auto sums = [&](const std::vector<double>& dwells_s) {
        set_dwells(plan, table, dwells_s, data);
        const Odds odds = question::odds(data.sought, data.data_noise(plan), plan.question->confidence,
                                         {options.runs, options.seed, options.threads});
        return QuestionSums{seconds_of(table, dwells_s), joules_of(table, dwells_s) / 3600,
                            std::sqrt(distance2(dwells_s)), odds.probability_confident,
                            odds.probability_right};
    };
    out.before = sums(own);
    out.after = sums(tuned);  // leaves the data with the new dwells
    out.stations = static_cast<int>(data.stations.size());
    out.sweeps = shared_sweeps(plan).sent_to_those_asked;

    out.distance_with_exact_gains =
        std::sqrt(separation(with_exact_gains(demand.sought), variances_at(demand, tuned)).distance2);

    const auto worth = frequency_information(data, data.data_noise(plan), frequencies_hz);
    const Discrimination at = separation(demand.sought, variances_at(demand, tuned));
    const std::vector<double> slopes = dwell_slopes(demand, at, tuned);
    // d nats / d D2, from the definition: 1/2 of two grounds, 1/(2 D2) of a depth.
    const double nats_per_distance2 =
        std::holds_alternative<TwoGrounds>(demand.sought) ? 0.5 : 0.5 / at.distance2;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const tune::TuneRow& row = table.rows[i];
        const auto next = [&](std::size_t k, double watts) {  // a second of dwell costs each sweep its watts
            return 3600 * nats_per_distance2 * slopes[k] / (watts * out.sweeps);
        };
        QuestionFrequency f{};
        f.frequency_hz = row.frequency.frequency_hz;
        f.step_a = row.step_a;
        f.step_b = row.step_b;
        f.before = row.own;
        f.after = {tuned[2 * i], tuned[2 * i + 1]};
        f.information_nats = worth[i].information_nats;
        f.information_loss_nats = worth[i].information_loss_nats;
        f.seconds_after = f.after.a_s + f.after.b_s + row.overhead_s;
        f.energy_wh_after = (row.watts_a * f.after.a_s + row.watts_b * f.after.b_s + row.overhead_j) / 3600;
        f.nats_per_wh = worth[i].nats_per_wh;
        f.next_nats_per_wh = std::max(next(2 * i, row.watts_a), next(2 * i + 1, row.watts_b));
        f.set_by = set_by(f.after, row);
        out.plan.sweep.steps[row.step_a].dwell_s = f.after.a_s;
        out.plan.sweep.steps[row.step_b].dwell_s = f.after.b_s;
        out.frequencies.push_back(f);
    }
    tell_as_sent(table, setup.table, out);
    return out;
}

QuestionDays question_days(const plan::Plan& before, const plan::Plan& after,
                           const QuestionTuneOptions& options) {
    return question_days(before, setup::survey_setup_of(before), after, options);
}

QuestionDays question_days(const plan::Plan& before, const setup::SurveySetup& setup_before,
                           const plan::Plan& after, const QuestionTuneOptions& options) {
    const setup::SurveySetup setup_after = setup::survey_setup_of(after);
    QuestionDays out{.before = day::simulate_day(before, setup_before, {.threads = options.threads}),
                     .after = day::simulate_day(after, setup_after, {.threads = options.threads}),
                     .answer_before = {},
                     .answer_after = {}};
    const auto responses = reading::station_responses(before, setup_before, options.threads);
    const OddsOptions odds{options.runs, options.seed, options.threads};
    out.answer_before = answer_question(before, setup_before, out.before, responses, odds);
    out.answer_after = answer_question(after, setup_after, out.after, responses, odds);
    return out;
}

}  // namespace ampturn::rehearse::question
