#include "scheduler/order/ordered_day.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

#include "scheduler/day/station_order.hpp"
#include "scheduler/order/crew_order.hpp"

namespace ampturn::order {
namespace {

using day::DayResult;

std::vector<std::string> names_of(const plan::Plan& plan) {
    std::vector<std::string> names;
    for (const plan::Station& station : plan.stations) names.push_back(station.name);
    return names;
}

/// Behind the first finding, which says whether the day is carried.
void tell(DayResult& day, day::Finding finding) {
    day.findings.insert(day.findings.begin() + (day.findings.empty() ? 0 : 1), std::move(finding));
}

/// Sweeps heard whole, each counted for every station that heard it.
long heard_whole(const DayResult& day) {
    return std::accumulate(day.sweeps.begin(), day.sweeps.end(), 0L, [](long sum, const auto& sweep) {
        return sum + (sweep.complete() ? static_cast<long>(sweep.listeners.size()) : 0);
    });
}

bool no_worse(const DayResult& found, const DayResult& planned) {
    if (found.completed != planned.completed) return found.completed;
    if (!found.completed && heard_whole(found) < heard_whole(planned)) return false;
    return found.end_s <= planned.end_s || (!found.completed && heard_whole(found) > heard_whole(planned));
}

OrderedDay with_crews_ordered(const plan::Plan& plan, const setup::SurveySetup& setup,
                              const day::DayOptions& options) {
    const CrewOrder order = improved_crew_order(plan, setup.table.duration_s);
    OrderedDay out{plan, day::simulate_day(plan, setup, options)};
    day::ImprovedCrews improved{.exact = order.exact,
                                .unchanged = true,
                                .better_by_times = !order.unchanged,
                                .planned_stations = names_of(plan),
                                .planned_crews = {},
                                .by_times = {order.planned.end_s, order.planned.sweeps},
                                .planned_by_times = {order.planned.end_s, order.planned.sweeps},
                                .bound = {order.bound.end_s, order.bound.sweeps},
                                .planned_end_s = out.day.end_s,
                                .planned_passed_count = out.day.passed_count};
    for (const plan::Station& station : plan.stations) improved.planned_crews.push_back(station.crew_index);
    if (!order.unchanged) {
        DayResult found = day::simulate_day(order.plan, setup, options);
        if (no_worse(found, out.day)) {
            improved.unchanged = false;
            improved.by_times = {order.found.end_s, order.found.sweeps};
            out = {order.plan, std::move(found)};
        }
    }
    tell(out.day, day::CrewsReordered{});
    out.day.crew_order = std::move(improved);
    return out;
}

}  // namespace

plan::Plan in_improved_order(const plan::Plan& plan, double sweep_s) {
    if (!plan.receiver_crews.empty()) return improved_crew_order(plan, sweep_s).plan;
    return day::in_order(plan, day::improved_order(plan).visit);
}

OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const day::DayOptions& options) {
    return simulate_day_in_improved_order(plan, setup::survey_setup_of(plan), options);
}

OrderedDay simulate_day_in_improved_order(const plan::Plan& plan, const setup::SurveySetup& setup,
                                          const day::DayOptions& options) {
    if (!plan.receiver_crews.empty()) return with_crews_ordered(plan, setup, options);
    const day::StationOrder order = day::improved_order(plan);
    OrderedDay out{day::in_order(plan, order.visit), {}};
    const DayResult planned = day::simulate_day(plan, setup, options);
    day::ImprovedOrder improved{.exact = order.exact,
                                .unchanged = std::is_sorted(order.visit.begin(), order.visit.end()),
                                .planned_stations = names_of(plan),
                                .moving_s = order.found.moving_s,
                                .planned_moving_s = order.planned.moving_s,
                                .receiver_s = order.found.receiver_s,
                                .planned_receiver_s = order.planned.receiver_s,
                                .receiver_m = order.found.receiver_m,
                                .planned_receiver_m = order.planned.receiver_m,
                                .planned_end_s = planned.end_s,
                                .planned_passed_count = planned.passed_count};
    out.day = improved.unchanged ? planned : day::simulate_day(out.plan, setup, options);
    tell(out.day, day::StationsReordered{});
    out.day.order = std::move(improved);
    return out;
}

}  // namespace ampturn::order
