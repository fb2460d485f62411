#include "scheduler/day/ordered_day.hpp"

#include <algorithm>

#include "scheduler/day/station_order.hpp"

namespace ampturn::day {

OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const DayOptions& options) {
    return simulate_day_in_improved_order(plan, setup::survey_setup_of(plan), options);
}

OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const setup::SurveySetup& setup,
                                          const DayOptions& options) {
    const StationOrder order = improved_order(plan);
    OrderedDay out{in_order(plan, order.visit), {}};
    const DayResult planned = simulate_day(plan, setup, options);
    ImprovedOrder improved{.exact = order.exact,
                           .unchanged = std::is_sorted(order.visit.begin(), order.visit.end()),
                           .planned_stations = {},
                           .moving_s = order.found.moving_s,
                           .planned_moving_s = order.planned.moving_s,
                           .receiver_s = order.found.receiver_s,
                           .planned_receiver_s = order.planned.receiver_s,
                           .receiver_m = order.found.receiver_m,
                           .planned_receiver_m = order.planned.receiver_m,
                           .planned_end_s = planned.end_s,
                           .planned_passed_count = planned.passed_count};
    for (const plan::Station& station : plan.stations) improved.planned_stations.push_back(station.name);
    out.day = improved.unchanged ? planned : simulate_day(out.plan, setup, options);
    out.day.findings.insert(out.day.findings.begin() + (out.day.findings.empty() ? 0 : 1),
                            StationsReordered{});
    out.day.order = std::move(improved);
    return out;
}

}  // namespace ampturn::day
