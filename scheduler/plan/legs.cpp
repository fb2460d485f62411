#include "scheduler/plan/legs.hpp"

#include <set>
#include <string>
#include <vector>

namespace ampturn::plan {

void drop_lost_legs(Plan& plan) {
    std::set<std::string> places{"base"};
    for (const Site& site : plan.sites) places.insert(site.name);
    for (const Station& station : plan.stations) places.insert(station.name);
    std::erase_if(plan.day.legs,
                  [&](const Leg& leg) { return !places.contains(leg.from) || !places.contains(leg.to); });
}

}  // namespace ampturn::plan
