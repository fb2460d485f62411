#pragma once

#include <cstddef>
#include <vector>

#include "scheduler/day/travel.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/receiver_crew.hpp"

namespace ampturn::order {

/// When a day of several crews is over, by its times alone: every sweep is sent at the first attempt and takes
/// sweep_s, no battery is swapped, nothing cools, and there is no end of the day. The rules are those of
/// day/day_run.hpp, which the same day follows to the second while all this holds.

/// Who sets up what and when. Sites in the order of the visits; at each, the stations of every crew (indices into
/// Plan::stations) in the order it sets them up.
struct SiteWork {
    int site_index = 0;
    std::vector<std::vector<std::size_t>> by_crew;  // as plan::receiver_crews_of()
};
using Arrangement = std::vector<SiteWork>;
/// The plan's own.
Arrangement arrangement_of(const plan::Plan& plan);
/// The plan with its stations in that order and with those crews: group by group, crew by crew.
plan::Plan arranged(const plan::Plan& plan, const Arrangement& arrangement);

struct CrewDay {
    double end_s = 0;     // all crews are back at the base; seconds after local midnight
    int sweeps = 0;       // sent
    double person_s = 0;  // as day::DayRun::person_hours
};

/// What no arrangement that visits each site once can be below.
///
/// Sweeps: at most K stations listen together, K the sensor sets of all crews. Of the groups of a site in falling order of
/// their sweeps, the j-th (from 0) holds a station that asks at least as much as the one at place j K when all stations of
/// the site stand in falling order of what they ask; so these are added up.
///
/// End: the later of two. The transmitter crew cannot be back before its briefing, half of the two shortest ways at each
/// site and at the base (a tour enters and leaves each), setting up and packing up at each site, and at each site the least
/// sweeps, each with its agreement, lead and length, a look at the data between two of them, and between two groups the
/// shortest packing up, way and setting up any crew has there, since every crew of a later group was in the one before. The
/// receiver crews cannot all be back before the mean of what they have to do: the briefing, and for each station the
/// shortest way into it, the shortest setting up and packing up, and its sweeps with agreement, lead, length and look at
/// the data over the most sensor sets a crew has, which can stand at the same time.
struct CrewBound {
    double end_s = 0;
    int sweeps = 0;
};

/// Times of one plan, worked out once for many arrangements.
class CrewTimes {
  public:
    CrewTimes(const plan::Plan& plan, double sweep_s);

    CrewDay day_of(const Arrangement& arrangement) const;
    CrewBound bound() const;

  private:
    double way_s(std::size_t from, std::size_t to) const { return ways_s_[from * (base_ + 1) + to]; }
    double site_way_s(int from, int to) const;  // -1: the base
    double set_up_s(std::size_t station, std::size_t crew) const;
    double set_up_least_s(std::size_t station) const;
    double sweep_with_agreement_s() const;
    std::vector<std::vector<std::size_t>> stations_by_site() const;
    double transmitter_least_s() const;
    double receivers_least_s() const;
    std::size_t listening_most() const;  // stations at once
    int sweeps_least(std::vector<std::size_t> stations) const;
    double between_groups_least_s(const std::vector<std::size_t>& stations) const;

    struct Receiver {
        double free_s;
        std::size_t place;
        bool out = false;  // has set up a station
    };
    struct Clocks {
        double transmitter_s;
        std::vector<Receiver> receivers;
        int sweeps = 0;
    };
    void listen(const SiteWork& work, std::size_t group, Clocks& clocks) const;

    const plan::Plan& plan_;
    std::vector<plan::CrewValues> crews_;
    std::vector<double> crew_set_up_s_;
    double sweep_s_;
    std::size_t base_;             // place of the base behind the stations
    std::vector<double> ways_s_;   // between stations and the base
    std::vector<double> sites_s_;  // between sites and the base, which is the last
};

}  // namespace ampturn::order
