#include "scheduler/day/travel.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::day {
namespace {

std::pair<std::size_t, std::size_t> ordered(std::size_t a, std::size_t b) {
    return {std::min(a, b), std::max(a, b)};
}

}  // namespace

Travel::Travel(const plan::Plan& plan) : seconds_per_m_(3.6 / plan.day.walking_speed_km_h) {
    const auto add = [&](const std::string& name, const plan::Place& place) {
        places_.emplace(name, north_east_m_.size());
        north_east_m_.emplace_back(place.x_m, place.y_m);
    };
    for (const plan::Site& site : plan.sites) add(site.name, site.place);
    for (const plan::Station& station : plan.stations) add(station.name, station.place);
    const std::size_t base = north_east_m_.size();
    places_.emplace("base", base);
    for (const plan::Leg& leg : plan.day.legs) {
        const auto ends = ordered(place(leg.from), place(leg.to));
        if (legs_s_.emplace(ends, 60 * leg.minutes).second && ends.second == base && ends.first != base)
            base_legs_s_.emplace_back(ends.first, 60 * leg.minutes);
    }
}

double Travel::straight_m(std::size_t from, std::size_t to) const {
    if (std::max(from, to) == north_east_m_.size()) return 0;
    const auto [north_m, east_m] = north_east_m_[from];
    return std::hypot(north_m - north_east_m_[to].first, east_m - north_east_m_[to].second);
}

double Travel::between_places_s(std::size_t from, std::size_t to) const {
    if (from == to) return 0;
    const auto leg = legs_s_.find(ordered(from, to));
    return leg != legs_s_.end() ? leg->second : straight_m(from, to) * seconds_per_m_;
}

double Travel::seconds(std::size_t from, std::size_t to) const {
    const std::size_t base = north_east_m_.size();
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
