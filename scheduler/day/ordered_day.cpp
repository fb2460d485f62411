#include "scheduler/day/ordered_day.hpp"

#include <algorithm>

#include "scheduler/day/station_order.hpp"

namespace ampturn::plan {

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
                            StationsReordered{});
    out.day.order = std::move(told);
    return out;
}

}  // namespace ampturn::plan
