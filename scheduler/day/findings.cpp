#include "scheduler/day/findings.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/sweep_outcome.hpp"

namespace ampturn::day {
namespace {

void count(std::vector<StopCount>& counts, const SweepStop& stop) {
    const auto same =
        std::find_if(counts.begin(), counts.end(), [&](const StopCount& c) { return c.stop == stop; });
    if (same == counts.end())
        counts.push_back({stop, 1});
    else
        ++same->sweeps;
}

void find_sweeps(const DayResult& day, std::vector<Finding>& out) {
    SweepsSent found{.all = day.completed, .whole = 0, .day_end_s = day.end_s, .lost = {}, .repeated = {}};
    for (const SweepOutcome& s : day.sweeps) {
        found.whole += s.complete();
        if (s.stopped_by)
            count(completed_in_any_attempt(day.sweeps, s) ? found.repeated : found.lost, *s.stopped_by);
    }
    out.emplace_back(std::move(found));
    if (std::vector<SweepsHeard> heard = sweeps_heard(day.sweeps);
        !day.receiver_crews.empty() && !heard.empty())
        out.emplace_back(SweepsShared{std::move(heard)});
}

void find_batteries(const DayResult& day, std::vector<Finding>& out) {
    for (const BatteryUse& use : day.batteries)
        if (use.reached_cut_off)
            // A cold or tired battery can run out of available charge with its voltage still above the
            // cut-off.
            out.emplace_back(BatteryRanOut{.battery_number = use.battery_number,
                                           .at_cut_off = use.lowest_v <= day.battery_cut_off_v,
                                           .cut_off_v = day.battery_cut_off_v,
                                           .lowest_v = use.lowest_v,
                                           .time_s = use.cut_off_s,
                                           .delivered_ah = use.delivered_ah});
    if (!day.batteries_needed_suffice)
        out.emplace_back(NoBatteriesSuffice{.tried = battery_sets_tried_most});
    else if (day.batteries_needed > day.batteries_carried)
        out.emplace_back(
            CarryMoreBatteries{.needed = day.batteries_needed, .carried = day.batteries_carried});
    else if (day.batteries_needed > 0 && day.batteries_needed < day.batteries_carried)
        out.emplace_back(
            FewerBatteriesWouldDo{.needed = day.batteries_needed, .carried = day.batteries_carried});
}

/// Frequencies no station can use, by what most of them fail by.
void find_lost_frequencies(const DayResult& day, std::vector<Finding>& out) {
    FrequenciesLost near{FrequenciesLost::Why::too_near, {}}, weak{FrequenciesLost::Why::too_weak, {}};
    for (std::size_t f = 0; f < day.frequencies_hz.size(); ++f) {
        int usable = 0, biased = 0, noisy = 0;
        for (const reading::Reading& j : day.readings) {
            if (j.frequency_index != static_cast<int>(f)) continue;
            usable += j.verdict == reading::Verdict::usable;
            biased += j.verdict == reading::Verdict::transition || j.verdict == reading::Verdict::near_field;
            noisy += j.verdict == reading::Verdict::noisy;
        }
        if (usable > 0 || biased + noisy == 0) continue;
        (biased >= noisy ? near : weak).frequencies_hz.push_back(day.frequencies_hz[f]);
    }
    if (!near.frequencies_hz.empty()) out.emplace_back(std::move(near));
    if (!weak.frequencies_hz.empty()) out.emplace_back(std::move(weak));
}

void find_verdicts(const DayResult& day, std::vector<Finding>& out) {
    std::array<int, 5> counts{};
    for (const reading::Reading& j : day.readings)
        if (j.required) ++counts[static_cast<std::size_t>(j.verdict)];
    ReadingsPassed found{.passed = day.passed_count, .required = day.required_count, .failed = {}};
    for (const reading::Verdict v : {reading::Verdict::near_field, reading::Verdict::transition,
                                     reading::Verdict::noisy, reading::Verdict::not_sent})
        if (const int n = counts[static_cast<std::size_t>(v)]; n > 0) found.failed.push_back({v, n});
    out.emplace_back(std::move(found));
    if (day.passed_with_flat_coils && *day.passed_with_flat_coils != day.passed_count)
        out.emplace_back(CoilsAssumed{day.passed_count, *day.passed_with_flat_coils});
    find_lost_frequencies(day, out);
}

void find_single_polarisations(const DayResult& day, std::vector<Finding>& out) {
    NoTensorSent found;
    for (const double f : day.frequencies_hz) {
        const auto sent_with = [&](model::loop::LoopSelection loop) {
            return std::any_of(day.table.begin(), day.table.end(), [&](const setup::TableRow& row) {
                return row.frequency_hz == f && row.loop == loop;
            });
        };
        if (!sent_with(model::loop::LoopSelection::a) || !sent_with(model::loop::LoopSelection::b))
            found.frequencies_hz.push_back(f);
    }
    if (!found.frequencies_hz.empty()) out.emplace_back(std::move(found));
}

void find_mains_clashes(const DayResult& day, std::vector<Finding>& out) {
    std::set<double> told_hz;  // each once, whichever loops send it and in whatever order
    for (const setup::TableRow& row : day.table)
        if (row.mains_clash_order != 0 && told_hz.insert(row.frequency_hz).second)
            out.emplace_back(MainsClash{.frequency_hz = row.frequency_hz, .order = row.mains_clash_order});
}

void find_weak_steps(const DayResult& day, std::vector<Finding>& out) {
    StepsBelowTarget found;
    for (const setup::TableRow& row : day.table) {
        for (const SweepOutcome& sweep : day.sweeps) {
            const auto step = std::find_if(sweep.steps.begin(), sweep.steps.end(), [&](const StepOutcome& s) {
                return s.step_number == row.step_number && s.complete;
            });
            if (step == sweep.steps.end()) continue;
            if (step->current_a_peak < 0.9 * row.target_current_a_peak)
                found.steps.push_back({.frequency_hz = row.frequency_hz,
                                       .loop = row.loop,
                                       .current_a_peak = step->current_a_peak,
                                       .target_a_peak = row.target_current_a_peak,
                                       .limited_by = *step->limited_by});
            break;  // the first sweep that has the step tells
        }
    }
    if (!found.steps.empty()) out.emplace_back(std::move(found));
}

}  // namespace

std::vector<Finding> findings_of(const DayResult& day) {
    std::vector<Finding> out;
    find_sweeps(day, out);
    find_batteries(day, out);
    find_verdicts(day, out);
    find_single_polarisations(day, out);
    find_mains_clashes(day, out);
    find_weak_steps(day, out);
    return out;
}

}  // namespace ampturn::day
