#include "scheduler/day/station_order.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <numeric>

#include "scheduler/day/travel.hpp"

namespace ampturn::day {
namespace {

constexpr double no_better = 1 - 1e-9;  // what is shorter by less is a tie

/// What lies between two stops of the round, seconds; the last stop is the base. Symmetric, since legs hold
/// both ways; setting up at the first site and packing up at the last are left out, being the same in every order.
class Ways {
  public:
    explicit Ways(const plan::Plan& plan) : base_(plan.stations.size()), seconds_((base_ + 1) * (base_ + 1)) {
        const double change_s = 60 * (plan.day.transmitter_pack_up_min + plan.day.transmitter_set_up_min);
        const Travel travel(plan);
        std::vector<std::size_t> receiver, transmitter;  // where either crew is at each stop
        for (const plan::Station& station : plan.stations) {
            receiver.push_back(travel.place(station.name));
            transmitter.push_back(travel.place(station.site));
        }
        receiver.push_back(travel.place("base"));
        transmitter.push_back(receiver.back());
        for (std::size_t i = 0; i <= base_; ++i)
            for (std::size_t j = 0; j < i; ++j) {
                double& way_s = seconds_[i * (base_ + 1) + j];
                way_s = travel.seconds(receiver[i], receiver[j]);
                if (transmitter[i] != transmitter[j])
                    way_s += travel.seconds(transmitter[i], transmitter[j]) + (i < base_ ? change_s : 0);
                seconds_[j * (base_ + 1) + i] = way_s;
            }
    }

    std::size_t base() const { return base_; }
    double operator()(std::size_t from, std::size_t to) const { return seconds_[from * (base_ + 1) + to]; }
    double of_round(const std::vector<std::size_t>& visit) const {
        double sum_s = 0;
        std::size_t last = base_;
        for (const std::size_t stop : visit) {
            sum_s += (*this)(last, stop);
            last = stop;
        }
        return sum_s + (*this)(last, base_);
    }

  private:
    std::size_t base_;
    std::vector<double> seconds_;
};

/// Held & Karp: the cheapest way from the base through each set of stations to each of its members.
std::vector<std::size_t> shortest_round(const Ways& ways) {
    const std::size_t n = ways.base();
    const std::size_t sets = std::size_t{1} << n;
    constexpr double never = std::numeric_limits<double>::infinity();
    std::vector<double> cheapest(sets * n, never);
    std::vector<std::uint8_t> before(sets * n, 0);
    for (std::size_t i = 0; i < n; ++i) cheapest[(std::size_t{1} << i) * n + i] = ways(n, i);
    for (std::size_t set = 1; set < sets; ++set)
        for (std::size_t last = 0; last < n; ++last) {
            const double here_s = cheapest[set * n + last];
            if (here_s == never) continue;
            for (std::size_t next = 0; next < n; ++next) {
                if ((set >> next & 1) != 0) continue;
                const std::size_t there = (set | std::size_t{1} << next) * n + next;
                const double there_s = here_s + ways(last, next);
                if (there_s < cheapest[there]) {
                    cheapest[there] = there_s;
                    before[there] = static_cast<std::uint8_t>(last);
                }
            }
        }
    std::size_t last = 0;
    for (std::size_t i = 1; i < n; ++i)
        if (cheapest[(sets - 1) * n + i] + ways(i, n) < cheapest[(sets - 1) * n + last] + ways(last, n))
            last = i;
    std::vector<std::size_t> visit;
    for (std::size_t set = sets - 1; set != 0;) {
        visit.push_back(last);
        const std::size_t previous = before[set * n + last];
        set &= ~(std::size_t{1} << last);
        last = previous;
    }
    std::reverse(visit.begin(), visit.end());
    return visit;
}

std::vector<std::size_t> nearest_neighbour_round(const Ways& ways) {
    std::vector<std::size_t> left(ways.base()), visit;
    std::iota(left.begin(), left.end(), std::size_t{0});
    std::size_t here = ways.base();
    while (!left.empty()) {
        const auto nearest = std::min_element(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
            return ways(here, a) < ways(here, b);
        });
        here = *nearest;
        visit.push_back(here);
        left.erase(nearest);
    }
    return visit;
}

/// A round that is changed step by step as long as a step makes it shorter.
class LocalSearch {
  public:
    LocalSearch(const Ways& ways, std::vector<std::size_t> visit) : ways_(ways), visit_(std::move(visit)) {}

    std::vector<std::size_t> improved() {
        least_gain_s_ = 1e-9 * (1 + ways_.of_round(visit_));
        while (turn_stretches() || move_neighbours()) {
        }
        return visit_;
    }

  private:
    /// The stop at a position; the base before the first and after the last.
    std::size_t stop(std::size_t position) const {
        return position < visit_.size() ? visit_[position] : ways_.base();
    }
    std::size_t stop_before(std::size_t position) const {
        return position == 0 ? ways_.base() : visit_[position - 1];
    }

    bool turn_stretches() {
        bool changed = false;
        for (std::size_t first = 0; first < visit_.size(); ++first)
            for (std::size_t last = first + 1; last < visit_.size(); ++last) {
                const double gain_s =
                    ways_(stop_before(first), visit_[first]) + ways_(visit_[last], stop(last + 1)) -
                    ways_(stop_before(first), visit_[last]) - ways_(visit_[first], stop(last + 1));
                if (gain_s <= least_gain_s_) continue;
                std::reverse(visit_.begin() + static_cast<std::ptrdiff_t>(first),
                             visit_.begin() + static_cast<std::ptrdiff_t>(last) + 1);
                changed = true;
            }
        return changed;
    }

    bool move_neighbours() {
        bool changed = false;
        for (std::size_t count = 1; count <= 3; ++count)
            for (std::size_t first = 0; first + count <= visit_.size(); ++first)
                changed = move_from(first, count) || changed;
        return changed;
    }

    /// Takes visit_[first, first + count) out and puts it, either way round, where it costs least.
    bool move_from(std::size_t first, std::size_t count) {
        const std::size_t past = first + count;
        const std::size_t head = visit_[first], tail = visit_[past - 1];
        const double freed_s =
            ways_(stop_before(first), head) + ways_(tail, stop(past)) - ways_(stop_before(first), stop(past));
        double best_s = freed_s - least_gain_s_;
        std::size_t where = first;
        bool turned = false;
        for (std::size_t gap = 0; gap <= visit_.size(); ++gap) {  // before the stop at `gap`
            if (gap >= first && gap <= past) continue;
            const std::size_t left = stop_before(gap), right = stop(gap);
            const double straight_s = ways_(left, head) + ways_(tail, right) - ways_(left, right);
            const double turned_s = ways_(left, tail) + ways_(head, right) - ways_(left, right);
            if (std::min(straight_s, turned_s) >= best_s) continue;
            best_s = std::min(straight_s, turned_s);
            where = gap;
            turned = turned_s < straight_s;
        }
        if (where == first) return false;
        const auto at = [&](std::size_t position) {
            return visit_.begin() + static_cast<std::ptrdiff_t>(position);
        };
        if (turned) std::reverse(at(first), at(past));
        if (where < first)
            std::rotate(at(where), at(first), at(past));
        else
            std::rotate(at(first), at(past), at(where));
        return true;
    }

    const Ways& ways_;
    std::vector<std::size_t> visit_;
    double least_gain_s_ = 0;
};

}  // namespace

OrderCost cost_of_order(const plan::Plan& plan, const std::vector<std::size_t>& visit) {
    const Travel travel(plan);
    OrderCost out;
    std::string receiver = "base", transmitter = "base";
    int site = -1;
    for (const std::size_t index : visit) {
        const plan::Station& station = plan.stations[index];
        out.receiver_s += travel.seconds(receiver, station.name);
        out.receiver_m += travel.straight_m(receiver, station.name);
        receiver = station.name;
        if (station.site_index == site) continue;
        site = station.site_index;
        out.transmitter_s += travel.seconds(transmitter, station.site);
        transmitter = station.site;
        ++out.site_visits;
    }
    out.receiver_s += travel.seconds(receiver, "base");
    out.transmitter_s += travel.seconds(transmitter, "base");
    out.moving_s =
        out.receiver_s + out.transmitter_s +
        60 * (plan.day.transmitter_pack_up_min + plan.day.transmitter_set_up_min) * (out.site_visits - 1);
    return out;
}

StationOrder improved_order(const plan::Plan& plan) {
    const Ways ways(plan);
    std::vector<std::size_t> in_plan(plan.stations.size());
    std::iota(in_plan.begin(), in_plan.end(), std::size_t{0});
    StationOrder out{.visit = in_plan, .exact = in_plan.size() <= exact_order_stations_most};
    double shortest_s = ways.of_round(in_plan);
    const auto consider = [&](std::vector<std::size_t> visit) {
        const double here_s = ways.of_round(visit);
        if (here_s >= no_better * shortest_s) return;
        shortest_s = here_s;
        out.visit = std::move(visit);
    };
    if (out.exact) {
        consider(shortest_round(ways));
    } else {
        consider(LocalSearch(ways, in_plan).improved());
        consider(LocalSearch(ways, nearest_neighbour_round(ways)).improved());
    }
    out.planned = cost_of_order(plan, in_plan);
    out.found = cost_of_order(plan, out.visit);
    return out;
}

plan::Plan in_order(plan::Plan plan, const std::vector<std::size_t>& visit) {
    std::vector<plan::Station> stations;
    for (const std::size_t index : visit) stations.push_back(plan.stations[index]);
    plan.stations = std::move(stations);
    return plan;
}

}  // namespace ampturn::day
