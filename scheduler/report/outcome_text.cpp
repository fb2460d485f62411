#include "scheduler/report/outcome_text.hpp"

#include <fmt/format.h>

#include "model/transmitter/operating_point.hpp"

namespace ampturn::plan {

std::string batteries_to_carry(const DayResult& day) {
    return day.batteries_needed_suffice ? std::to_string(day.batteries_needed) : "no number";
}

std::string batteries_needed_text(const DayResult& day) {
    if (!day.batteries_needed_suffice)
        return fmt::format("even {} sets do not carry the day: one set does not carry one sweep",
                           battery_sets_tried_most);
    return fmt::format("the same day run with as many sets as it takes used {}", day.batteries_needed);
}

std::string limit_text(const StepOutcome& step) {
    return step.limited_by ? model::name(*step.limited_by) : "";
}

std::string stop_text(const SweepOutcome& sweep) {
    return sweep.stopped_by ? text_of(*sweep.stopped_by) : "";
}

}  // namespace ampturn::plan
