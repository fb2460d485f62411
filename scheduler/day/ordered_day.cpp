#include "scheduler/day/ordered_day.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/station_order.hpp"

namespace ampturn::plan {
namespace {

std::string finding(const ImprovedOrder& order, const DayResult& day) {
    if (order.unchanged)
        return order.exact ? "The plan's order of stations is kept: no other shortens the crews' ways."
                           : "The plan's order of stations is kept: no shorter one was found.";
    std::string out = fmt::format(
        "Stations in {} order: the receiver crew is {} on its way instead of {} ({} km instead of {} km), "
        "moving takes both crews {} instead of {}, and the day is over at {} instead of {}.",
        order.exact ? "the shortest" : "a shorter", duration_text(order.receiver_s),
        duration_text(order.kept_receiver_s), significant(order.receiver_m / 1000, 3),
        significant(order.kept_receiver_m / 1000, 3), duration_text(order.moving_s),
        duration_text(order.kept_moving_s), clock_minutes_text(day.end_s),
        clock_minutes_text(order.kept_end_s));
    if (day.passed_count < order.kept_passed_count)
        out += fmt::format(" But {} required readings pass instead of {}: keep the plan's order.",
                           day.passed_count, order.kept_passed_count);
    else if (day.passed_count > order.kept_passed_count)
        out += fmt::format(" {} required readings pass instead of {}.", day.passed_count,
                           order.kept_passed_count);
    return out;
}

}  // namespace

OrderedDay simulate_day_in_improved_order(const Plan& plan, const DayOptions& options) {
    return simulate_day_in_improved_order(plan, survey_setup_of(plan), options);
}

OrderedDay simulate_day_in_improved_order(const Plan& plan, const SurveySetup& setup,
                                          const DayOptions& options) {
    const StationOrder order = improved_order(plan);
    OrderedDay out{in_order(plan, order.visit), {}};
    const DayResult kept = simulate_day(plan, setup, options);
    ImprovedOrder told{.exact = order.exact,
                       .unchanged = std::is_sorted(order.visit.begin(), order.visit.end()),
                       .kept_stations = {},
                       .moving_s = order.found.moving_s,
                       .kept_moving_s = order.kept.moving_s,
                       .receiver_s = order.found.receiver_s,
                       .kept_receiver_s = order.kept.receiver_s,
                       .receiver_m = order.found.receiver_m,
                       .kept_receiver_m = order.kept.receiver_m,
                       .kept_end_s = kept.end_s,
                       .kept_passed_count = kept.passed_count};
    for (const Station& station : plan.stations) told.kept_stations.push_back(station.name);
    out.day = told.unchanged ? kept : simulate_day(out.plan, setup, options);
    out.day.findings.insert(out.day.findings.begin() + (out.day.findings.empty() ? 0 : 1),
                            finding(told, out.day));
    out.day.order = std::move(told);
    return out;
}

}  // namespace ampturn::plan
