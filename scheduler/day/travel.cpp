#include "scheduler/day/travel.hpp"

#include <algorithm>
#include <cmath>

#include "scheduler/plan/ways.hpp"

namespace ampturn::day {
namespace {

std::pair<std::size_t, std::size_t> ordered(std::size_t a, std::size_t b) {
    return {std::min(a, b), std::max(a, b)};
}

}  // namespace

Travel::Travel(const plan::Plan& plan) : walk_(plan.walk), seconds_per_m_(3.6 / plan.day.walking_speed_km_h) {
    const auto add = [&](const std::string& name, const plan::Place& place) {
        places_.emplace(name, spots_.size());
        spots_.push_back(plan::spot_of(place));
    };
    for (const plan::Site& site : plan.sites) add(site.name, site.place);
    for (const plan::Station& station : plan.stations) add(station.name, station.place);
    const std::size_t base = spots_.size();
    places_.emplace("base", base);
    for (const plan::Leg& leg : plan.day.legs) {
        const auto ends = ordered(place(leg.from), place(leg.to));
        if (legs_s_.emplace(ends, 60 * leg.minutes).second && ends.second == base && ends.first != base)
            base_legs_s_.emplace_back(ends.first, 60 * leg.minutes);
    }
}

double Travel::straight_m(std::size_t from, std::size_t to) const {
    if (std::max(from, to) == spots_.size()) return 0;
    return plan::level_way_m(nullptr, spots_[from], spots_[to]);
}

double Travel::between_places_s(std::size_t from, std::size_t to) const {
    if (from == to) return 0;
    const auto leg = legs_s_.find(ordered(from, to));
    return leg != legs_s_.end() ? leg->second
                                : plan::level_way_m(walk_.get(), spots_[from], spots_[to]) * seconds_per_m_;
}

double Travel::seconds(std::size_t from, std::size_t to) const {
    const std::size_t base = spots_.size();
    if (from == to) return 0;
    if (std::max(from, to) != base) return between_places_s(from, to);
    const std::size_t place = std::min(from, to);
    const auto leg = legs_s_.find({place, base});
    if (leg != legs_s_.end()) return leg->second;
    double quickest_s = HUGE_VAL;
    for (const auto& [over, leg_s] : base_legs_s_)
        quickest_s = std::min(quickest_s, leg_s + between_places_s(over, place));
    return base_legs_s_.empty() ? 0 : quickest_s;
}

}  // namespace ampturn::day
