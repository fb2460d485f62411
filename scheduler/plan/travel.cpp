#include "scheduler/plan/travel.hpp"

#include <cmath>

namespace ampturn::plan {
namespace {

const Place* place_of(const Plan& plan, const std::string& name) {
    for (const Stand& stand : plan.stands)
        if (stand.name == name) return &stand.place;
    for (const Station& station : plan.stations)
        if (station.name == name) return &station.place;
    return nullptr;
}

}  // namespace

double straight_m(const Plan& plan, const std::string& from, const std::string& to) {
    const Place* a = place_of(plan, from);
    const Place* b = place_of(plan, to);
    return a == nullptr || b == nullptr ? 0 : std::hypot(a->x_m - b->x_m, a->y_m - b->y_m);
}

double travel_s(const Plan& plan, const std::string& from, const std::string& to) {
    if (from == to) return 0;
    for (const Leg& leg : plan.day.legs)
        if ((leg.from == from && leg.to == to) || (leg.from == to && leg.to == from)) return 60 * leg.minutes;
    return straight_m(plan, from, to) / (plan.day.walking_speed_km_h / 3.6);
}

}  // namespace ampturn::plan
