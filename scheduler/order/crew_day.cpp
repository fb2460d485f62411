#include "scheduler/order/crew_day.hpp"

#include <algorithm>
#include <limits>
#include <string>

#include "scheduler/day/time_left.hpp"
#include "scheduler/plan/listening_groups.hpp"

namespace ampturn::order {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();

std::vector<double> between(const plan::Plan& plan, const std::vector<std::string>& names) {
    const day::Travel travel(plan);
    std::vector<std::size_t> places;
    for (const std::string& name : names) places.push_back(travel.place(name));
    std::vector<double> out;
    for (const std::size_t from : places)
        for (const std::size_t to : places) out.push_back(travel.seconds(from, to));
    return out;
}

template <class Named>
std::vector<std::string> names_and_base(const std::vector<Named>& list) {
    std::vector<std::string> names;
    for (const Named& named : list) names.push_back(named.name);
    names.emplace_back("base");
    return names;
}

/// Groups that listen one after the other at a site.
std::size_t groups_of(const SiteWork& work, const std::vector<plan::CrewValues>& crews) {
    std::size_t most = 0;
    for (std::size_t c = 0; c < crews.size(); ++c) {
        const auto sets = static_cast<std::size_t>(crews[c].sensor_sets);
        most = std::max(most, (work.by_crew[c].size() + sets - 1) / sets);
    }
    return most;
}

/// Calls `visit(crew, station)` for the stations of a group, crew by crew.
template <class Visit>
void each_of_group(const SiteWork& work, std::size_t group, const std::vector<plan::CrewValues>& crews,
                   Visit&& visit) {
    for (std::size_t c = 0; c < crews.size(); ++c) {
        const auto sets = static_cast<std::size_t>(crews[c].sensor_sets);
        const std::vector<std::size_t>& stations = work.by_crew[c];
        for (std::size_t i = group * sets; i < std::min((group + 1) * sets, stations.size()); ++i)
            visit(c, stations[i]);
    }
}

}  // namespace

Arrangement arrangement_of(const plan::Plan& plan) {
    const std::size_t crew_count = plan::receiver_crews_of(plan).size();
    Arrangement out;
    for (std::size_t i = 0; i < plan.stations.size(); ++i) {
        const plan::Station& station = plan.stations[i];
        if (out.empty() || out.back().site_index != station.site_index)
            out.push_back({.site_index = station.site_index,
                           .by_crew = std::vector<std::vector<std::size_t>>(crew_count)});
        out.back().by_crew[static_cast<std::size_t>(station.crew_index)].push_back(i);
    }
    return out;
}

plan::Plan arranged(const plan::Plan& plan, const Arrangement& arrangement) {
    const std::vector<plan::CrewValues> crews = plan::receiver_crews_of(plan);
    plan::Plan out = plan;
    out.stations.clear();
    for (const SiteWork& work : arrangement)
        for (std::size_t group = 0; group < groups_of(work, crews); ++group)
            each_of_group(work, group, crews, [&](std::size_t crew, std::size_t station) {
                out.stations.push_back(plan.stations[station]);
                out.stations.back().crew_index = static_cast<int>(crew);
            });
    return out;
}

CrewTimes::CrewTimes(const plan::Plan& plan, double sweep_s)
    : plan_(plan),
      crews_(plan::receiver_crews_of(plan)),
      sweep_s_(sweep_s),
      base_(plan.stations.size()),
      ways_s_(between(plan, names_and_base(plan.stations))),
      sites_s_(between(plan, names_and_base(plan.sites))) {
    for (std::size_t c = 0; c < crews_.size(); ++c) {
        plan::Station of_crew;
        of_crew.crew_index = static_cast<int>(c);
        crew_set_up_s_.push_back(plan::receiver_set_up_s(plan, of_crew));
    }
}

double CrewTimes::site_way_s(int from, int to) const {
    const std::size_t count = plan_.sites.size() + 1;
    const auto at = [&](int site) { return site < 0 ? count - 1 : static_cast<std::size_t>(site); };
    return sites_s_[at(from) * count + at(to)];
}

double CrewTimes::set_up_s(std::size_t station, std::size_t crew) const {
    const std::optional<double>& own = plan_.stations[station].set_up_min;
    return own ? 60 * *own : crew_set_up_s_[crew];
}

double CrewTimes::set_up_least_s(std::size_t station) const {
    double least_s = never;
    for (std::size_t c = 0; c < crews_.size(); ++c) least_s = std::min(least_s, set_up_s(station, c));
    return least_s;
}

double CrewTimes::sweep_with_agreement_s() const {
    return 60 * plan_.day.agree_min + day::lead_before_sweep_s(plan_) + sweep_s_;
}

void CrewTimes::listen(const SiteWork& work, std::size_t group, Clocks& clocks) const {
    std::vector<bool> stands(crews_.size(), false);
    int sweeps = 0;
    each_of_group(work, group, crews_, [&](std::size_t crew, std::size_t station) {
        Receiver& receiver = clocks.receivers[crew];
        receiver.free_s += way_s(receiver.place, station) + set_up_s(station, crew);
        receiver.place = station;
        receiver.out = stands[crew] = true;
        sweeps = std::max(sweeps, plan_.stations[station].sweeps);
    });
    for (int k = 0; k < sweeps; ++k) {
        double ready_s = clocks.transmitter_s;
        for (std::size_t c = 0; c < crews_.size(); ++c)
            if (stands[c]) ready_s = std::max(ready_s, clocks.receivers[c].free_s);
        clocks.transmitter_s =
            day::on_mark(plan_, ready_s + 60 * plan_.day.agree_min + day::lead_before_sweep_s(plan_)) +
            sweep_s_;
        for (std::size_t c = 0; c < crews_.size(); ++c)
            if (stands[c])
                clocks.receivers[c].free_s = std::max(clocks.receivers[c].free_s, clocks.transmitter_s) +
                                             60 * plan_.day.quick_look_min;
    }
    clocks.sweeps += sweeps;
    each_of_group(work, group, crews_, [&](std::size_t crew, std::size_t station) {
        Receiver& receiver = clocks.receivers[crew];
        receiver.free_s += way_s(receiver.place, station) + crews_[crew].pack_up_s;
        receiver.place = station;
    });
}

CrewDay CrewTimes::day_of(const Arrangement& arrangement) const {
    const plan::Day& day = plan_.day;
    const double left_s = day.start_s + 60 * day.briefing_min;
    Clocks clocks{.transmitter_s = left_s,
                  .receivers = std::vector<Receiver>(crews_.size(), {.free_s = left_s, .place = base_})};
    int site = -1;
    for (const SiteWork& work : arrangement) {
        clocks.transmitter_s += site_way_s(site, work.site_index) + 60 * day.transmitter_set_up_min;
        site = work.site_index;
        for (std::size_t group = 0; group < groups_of(work, crews_); ++group) listen(work, group, clocks);
        clocks.transmitter_s += 60 * day.transmitter_pack_up_min;
    }
    clocks.transmitter_s += site_way_s(site, -1);
    CrewDay out{.end_s = clocks.transmitter_s,
                .sweeps = clocks.sweeps,
                .person_s = day.crew_transmitter * (clocks.transmitter_s - day.start_s)};
    for (std::size_t c = 0; c < crews_.size(); ++c) {
        const Receiver& receiver = clocks.receivers[c];
        if (!receiver.out) continue;
        const double back_s = receiver.free_s + way_s(receiver.place, base_);
        out.end_s = std::max(out.end_s, back_s);
        out.person_s += crews_[c].people * (back_s - day.start_s);
    }
    return out;
}

std::vector<std::vector<std::size_t>> CrewTimes::stations_by_site() const {
    std::vector<std::vector<std::size_t>> out(plan_.sites.size());
    for (std::size_t s = 0; s < base_; ++s)
        out[static_cast<std::size_t>(plan_.stations[s].site_index)].push_back(s);
    return out;
}

std::size_t CrewTimes::listening_most() const {
    std::size_t out = 0;
    for (const plan::CrewValues& crew : crews_) out += static_cast<std::size_t>(crew.sensor_sets);
    return out;
}

int CrewTimes::sweeps_least(std::vector<std::size_t> stations) const {
    const std::size_t together = listening_most();
    std::sort(stations.begin(), stations.end(), [&](std::size_t a, std::size_t b) {
        return plan_.stations[a].sweeps > plan_.stations[b].sweeps;
    });
    int sum = 0;
    for (std::size_t i = 0; i < stations.size(); i += together) sum += plan_.stations[stations[i]].sweeps;
    return sum;
}

double CrewTimes::between_groups_least_s(const std::vector<std::size_t>& stations) const {
    double way_least_s = never, work_s = never;
    for (const std::size_t a : stations)
        for (const std::size_t b : stations)
            if (a != b) way_least_s = std::min(way_least_s, way_s(a, b));
    for (std::size_t c = 0; c < crews_.size(); ++c)
        for (const std::size_t s : stations) work_s = std::min(work_s, crews_[c].pack_up_s + set_up_s(s, c));
    return stations.size() < 2 ? 0 : way_least_s + work_s;
}

double CrewTimes::transmitter_least_s() const {
    const std::vector<std::vector<std::size_t>> by_site = stations_by_site();
    std::vector<int> stops{-1};
    for (std::size_t site = 0; site < by_site.size(); ++site)
        if (!by_site[site].empty()) stops.push_back(static_cast<int>(site));
    double sum_s = 0;
    for (const int stop :
         stops) {  // half of the two shortest ways at each; the same twice where there is one
        std::vector<double> ways_s;
        for (const int other : stops)
            if (other != stop) ways_s.push_back(site_way_s(stop, other));
        std::sort(ways_s.begin(), ways_s.end());
        sum_s += (ways_s.front() + ways_s[std::min<std::size_t>(1, ways_s.size() - 1)]) / 2;
    }
    const std::size_t together = listening_most();
    for (const std::vector<std::size_t>& stations : by_site) {
        if (stations.empty()) continue;
        const int sweeps = sweeps_least(stations);
        const std::size_t groups = (stations.size() + together - 1) / together;
        sum_s += 60 * (plan_.day.transmitter_set_up_min + plan_.day.transmitter_pack_up_min) +
                 sweeps * sweep_with_agreement_s() + (sweeps - 1) * 60 * plan_.day.quick_look_min +
                 static_cast<double>(groups - 1) * between_groups_least_s(stations);
    }
    return sum_s;
}

double CrewTimes::receivers_least_s() const {
    double pack_up_s = never;
    int sets_most = 1;
    for (const plan::CrewValues& crew : crews_) {
        pack_up_s = std::min(pack_up_s, crew.pack_up_s);
        sets_most = std::max(sets_most, crew.sensor_sets);
    }
    double sum_s = 0;
    for (std::size_t s = 0; s < base_; ++s) {
        double way_in_s = never;
        for (std::size_t from = 0; from <= base_; ++from)
            if (from != s) way_in_s = std::min(way_in_s, way_s(from, s));
        sum_s +=
            way_in_s + set_up_least_s(s) + pack_up_s +
            plan_.stations[s].sweeps * (sweep_with_agreement_s() + 60 * plan_.day.quick_look_min) / sets_most;
    }
    return sum_s / static_cast<double>(crews_.size());
}

CrewBound CrewTimes::bound() const {
    CrewBound out{.end_s = plan_.day.start_s + 60 * plan_.day.briefing_min +
                           std::max(transmitter_least_s(), receivers_least_s()),
                  .sweeps = 0};
    for (const std::vector<std::size_t>& stations : stations_by_site()) out.sweeps += sweeps_least(stations);
    return out;
}

}  // namespace ampturn::order
