#include "scheduler/tune/tune_readings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <utility>

namespace ampturn::tune {

ReadingsMoved readings_moved(const day::DayResult& before, const day::DayResult& after) {
    ReadingsMoved out{};
    const std::size_t count = std::min(before.readings.size(), after.readings.size());
    for (std::size_t i = 0; i < count; ++i) {
        const reading::Reading &was = before.readings[i], &is = after.readings[i];
        if (!was.required) continue;
        const bool passed = was.verdict == reading::Verdict::usable,
                   passes = is.verdict == reading::Verdict::usable;
        out.passed_before += passed;
        out.kept += passed && passes;
        out.gained += !passed && passes;
        if (!passed || passes) continue;
        out.lost_not_sent += is.verdict == reading::Verdict::not_sent;
        out.lost_noisy += is.verdict == reading::Verdict::noisy;
        out.lost_biased +=
            is.verdict == reading::Verdict::transition || is.verdict == reading::Verdict::near_field;
    }
    return out;
}

std::string readings_moved_text(const ReadingsMoved& moved, int required_count) {
    std::string out = fmt::format(
        "Of {} required readings that pass with the plan's own dwells, {}", moved.passed_before,
        moved.kept == moved.passed_before ? "all still do" : fmt::format("{} still do", moved.kept));
    for (const auto& [lost, what] : {std::pair{moved.lost_not_sent, "not sent any more"},
                                     {moved.lost_noisy, "noisy now"},
                                     {moved.lost_biased, "biased now"}})
        if (lost > 0) out += fmt::format("; {} {} {}", lost, lost == 1 ? "is" : "are", what);
    return out + fmt::format(". {} pass that did not: {} of {} in all.", moved.gained,
                             moved.kept + moved.gained, required_count);
}

}  // namespace ampturn::tune
