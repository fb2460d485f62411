#include "scheduler/tune/tune_words.hpp"

#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"

namespace ampturn::tune {
namespace {

const char* name_of(plan::Element element) {
    switch (element) {
        case plan::Element::xx:
            return "xx";
        case plan::Element::xy:
            return "xy";
        case plan::Element::yx:
            return "yx";
        case plan::Element::yy:
            return "yy";
    }
    return "";
}

std::string who_needs(const TunedFrequency& t, const plan::Plan& plan) {
    if (t.served == 0)
        return t.biased == t.required ? "no station is far enough for a plane wave"
               : t.too_weak > 0       ? "no far-field station can hear it even at the longest dwell"
                                      : "no station asks for it";
    const std::string served =
        fmt::format("{} of {} stations, {} decides", t.served, t.required, decider_text(t, plan));
    return t.too_weak > 0 ? fmt::format("{}, {} out of reach", served, t.too_weak) : served;
}

std::string limit_text(const TunedFrequency& t) {
    switch (t.set_by) {
        case DwellLimit::shortest_dwell:
            return "shortest dwell";
        case DwellLimit::longest_dwell:
            return "longest dwell";
        case DwellLimit::heat:
            return "heat";
        case DwellLimit::error_target:
            return "error target";
        case DwellLimit::budget:
            return fmt::format("budget: error {} times its target", base::significant(t.relaxation_after, 3));
    }
    return "";
}

}  // namespace

std::string decider_text(const TunedFrequency& t, const plan::Plan& plan) {
    if (!t.decided_by) return "";
    return fmt::format("{} {}", plan.stations[static_cast<std::size_t>(t.decided_by->station_index)].name,
                       name_of(t.decided_by->element));
}

std::string explanation_text(const TunedFrequency& t, const plan::Plan& plan) {
    std::string out =
        fmt::format("{}; set by {}; costs {} and {} Wh a sweep", who_needs(t, plan), limit_text(t),
                    base::duration_text(t.seconds_after), base::significant(t.energy_wh_after, 2));
    if (t.served == 0) out += "; dropping it saves all of that";
    if (t.alternative_hz > 0)
        out += fmt::format("; at {} Hz, the nearest clean frequency, it would cost {}",
                           base::brief(t.alternative_hz, 6), base::duration_text(t.alternative_seconds));
    return out;
}

}  // namespace ampturn::tune
