#include "scheduler/day/findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/sent_whole.hpp"

namespace ampturn::plan {
namespace {

void tell_sweeps(const DayResult& day, std::vector<std::string>& out) {
    const auto whole =
        std::count_if(day.sweeps.begin(), day.sweeps.end(), [](const auto& s) { return s.complete; });
    std::map<std::string, int> lost, repeated;
    for (const SweepOutcome& s : day.sweeps)
        if (!s.complete) ++(sent_whole(day.sweeps, s) ? repeated : lost)[s.stopped_by];
    const auto listed = [](const std::map<std::string, int>& reasons) {
        std::string text;
        for (const auto& [reason, count] : reasons)
            text += fmt::format("{}{} x {}", text.empty() ? "" : "; ", count, reason);
        return text;
    };
    const std::string again =
        repeated.empty() ? "" : fmt::format(" Sent again after breaking off: {}.", listed(repeated));
    if (day.completed)
        out.push_back(fmt::format("The day is carried: all {} sweeps are sent whole, back at base {}.{}",
                                  whole, clock_minutes_text(day.end_s), again));
    else
        out.push_back(fmt::format("The day is NOT carried: {} sweeps sent whole, the rest not ({}).{}", whole,
                                  listed(lost), again));
}

void tell_batteries(const DayResult& day, std::vector<std::string>& out) {
    for (const BatteryUse& use : day.batteries) {
        if (!use.reached_cut_off) continue;
        // A cold or tired battery can run out of available charge with its voltage still above the cut-off.
        const std::string how =
            use.lowest_v <= day.battery_cut_off_v
                ? fmt::format("reaches the cut-off of {:g} V", day.battery_cut_off_v)
                : fmt::format("has no available charge left (terminals {:.1f} V)", use.lowest_v);
        out.push_back(fmt::format("Battery set {} {} at {} after {:.1f} Ah.", use.battery_number, how,
                                  clock_minutes_text(use.cut_off_s), use.delivered_ah));
    }
    if (day.batteries_needed > day.batteries_carried)
        out.push_back(
            fmt::format("Carry {} battery sets, not {}.", day.batteries_needed, day.batteries_carried));
    else if (day.batteries_needed > 0 && day.batteries_needed < day.batteries_carried)
        out.push_back(fmt::format("{} of the {} battery sets carried would do.", day.batteries_needed,
                                  day.batteries_carried));
}

/// Frequencies no station can use, by reason; neighbours of the table with the same reason in one line.
void tell_lost_frequencies(const DayResult& day, std::vector<std::string>& out) {
    struct Lost {
        std::string near, weak;  // lists of frequencies
        int near_count = 0, weak_count = 0;
    } lost;
    for (std::size_t f = 0; f < day.frequencies_hz.size(); ++f) {
        int usable = 0, biased = 0, noisy = 0;
        for (const StationFrequency& j : day.judged) {
            if (j.frequency_index != static_cast<int>(f)) continue;
            usable += j.verdict == Verdict::usable;
            biased += j.verdict == Verdict::biased || j.verdict == Verdict::near_zone;
            noisy += j.verdict == Verdict::noisy;
        }
        if (usable > 0 || biased + noisy == 0) continue;
        std::string& list = biased >= noisy ? lost.near : lost.weak;
        ++(biased >= noisy ? lost.near_count : lost.weak_count);
        list += fmt::format("{}{:.4g}", list.empty() ? "" : ", ", day.frequencies_hz[f]);
    }
    if (lost.near_count > 0)
        out.push_back(fmt::format("{} {} usable at no station, most being too near for a plane wave: {} Hz.",
                                  lost.near_count, lost.near_count == 1 ? "frequency is" : "frequencies are",
                                  lost.near));
    if (lost.weak_count > 0)
        out.push_back(fmt::format("{} {} usable at no station, most being too weak: {} Hz.", lost.weak_count,
                                  lost.weak_count == 1 ? "frequency is" : "frequencies are", lost.weak));
}

void tell_verdicts(const DayResult& day, std::vector<std::string>& out) {
    std::array<int, 5> counts{};
    for (const StationFrequency& j : day.judged)
        if (j.required) ++counts[static_cast<std::size_t>(j.verdict)];
    std::string failing;
    for (const Verdict v : {Verdict::near_zone, Verdict::biased, Verdict::noisy, Verdict::not_sent})
        if (const int n = counts[static_cast<std::size_t>(v)]; n > 0)
            failing += fmt::format("{}{} {}", failing.empty() ? "" : ", ", n, word_of(v));
    out.push_back(fmt::format("{} of {} required station-frequency pairs are usable{}.", day.passed_count,
                              day.required_count, failing.empty() ? "" : " (" + failing + ")"));
    tell_lost_frequencies(day, out);
}

void tell_steps(const DayResult& day, std::vector<std::string>& out) {
    double told_hz = 0;
    for (const TableRow& row : day.table) {
        if (row.frequency_hz == told_hz) continue;  // the other loop at the same frequency
        if (row.mains_clash_order > 0) {
            out.push_back(fmt::format("{:.5g} Hz lies in the guard band of mains harmonic {}: move it.",
                                      row.frequency_hz, row.mains_clash_order));
            told_hz = row.frequency_hz;
        }
    }
    std::string weak;
    int weak_count = 0;
    for (const TableRow& row : day.table) {
        for (const SweepOutcome& sweep : day.sweeps) {
            const auto step = std::find_if(sweep.steps.begin(), sweep.steps.end(), [&](const StepOutcome& s) {
                return s.step_number == row.step_number && s.complete;
            });
            if (step == sweep.steps.end()) continue;
            if (step->current_a_peak < 0.9 * row.target_current_a_peak) {
                ++weak_count;
                if (weak_count <= 4)
                    weak += fmt::format("{}{:.5g} Hz loop {} {:.1f} A of {:g} A ({})",
                                        weak.empty() ? "" : "; ", row.frequency_hz, model::name(row.loop),
                                        step->current_a_peak, row.target_current_a_peak, step->limited_by);
            }
            break;  // the first sweep that has the step tells
        }
    }
    if (weak_count > 0)
        out.push_back(fmt::format("{} steps stay more than 10 % below their target current: {}{}.",
                                  weak_count, weak, weak_count > 4 ? "; ..." : ""));
}

}  // namespace

std::vector<std::string> findings_of(const DayResult& day) {
    std::vector<std::string> out;
    tell_sweeps(day, out);
    tell_batteries(day, out);
    tell_verdicts(day, out);
    tell_steps(day, out);
    return out;
}

}  // namespace ampturn::plan
