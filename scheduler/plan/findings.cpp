#include "scheduler/plan/findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace ampturn::plan {
namespace {

std::string clock_text(double t) {
    const long s = std::lround(t);
    return fmt::format("{:02}:{:02}", s / 3600, s / 60 % 60);
}

void tell_sweeps(const DayResult& day, std::vector<std::string>& out) {
    const auto whole =
        std::count_if(day.sweeps.begin(), day.sweeps.end(), [](const auto& s) { return s.complete; });
    if (day.completed) {
        out.push_back(fmt::format("The day is carried: all {} sweeps are sent whole, back at base {}.",
                                  day.sweeps.size(), clock_text(day.end_s)));
        return;
    }
    std::map<std::string, int> reasons;
    for (const SweepOutcome& s : day.sweeps)
        if (!s.complete) ++reasons[s.stopped_by];
    std::string why;
    for (const auto& [reason, count] : reasons)
        why += fmt::format("{}{} x {}", why.empty() ? "" : "; ", count, reason);
    out.push_back(fmt::format("The day is NOT carried: {} sweeps sent whole, {} not ({}).", whole,
                              static_cast<long>(day.sweeps.size()) - whole, why));
}

void tell_batteries(const DayResult& day, std::vector<std::string>& out) {
    for (const BatteryUse& use : day.batteries)
        if (use.reached_cut_off)
            out.push_back(fmt::format("Battery set {} reaches the cut-off of {:g} V at {} after {:.1f} Ah.",
                                      use.battery_number, day.battery_cut_off_v, clock_text(use.cut_off_s),
                                      use.delivered_ah));
    if (day.batteries_needed > day.batteries_carried)
        out.push_back(
            fmt::format("Carry {} battery sets, not {}.", day.batteries_needed, day.batteries_carried));
    else if (day.batteries_needed > 0 && day.batteries_needed < day.batteries_carried)
        out.push_back(fmt::format("{} of the {} battery sets carried would do.", day.batteries_needed,
                                  day.batteries_carried));
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
    // Frequencies no station can use, by the commonest reason.
    for (std::size_t f = 0; f < day.frequencies_hz.size(); ++f) {
        int usable = 0, near_or_biased = 0, noisy = 0;
        for (const StationFrequency& j : day.judged) {
            if (j.frequency_index != static_cast<int>(f)) continue;
            usable += j.verdict == Verdict::usable;
            near_or_biased += j.verdict == Verdict::biased || j.verdict == Verdict::near_zone;
            noisy += j.verdict == Verdict::noisy;
        }
        if (usable == 0 && near_or_biased + noisy > 0)
            out.push_back(
                fmt::format("{:.5g} Hz serves no station: {} too near for a plane wave, {} too weak.",
                            day.frequencies_hz[f], near_or_biased, noisy));
    }
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
                                        weak.empty() ? "" : "; ", row.frequency_hz, row.loop,
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
