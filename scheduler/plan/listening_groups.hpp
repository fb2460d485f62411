#pragma once

#include <cstddef>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Which stations listen to the same sweeps.
///
/// The transmitter visits its sites in the order of the stations; a visit is a run of stations of one site. Within a
/// visit the stations of each crew, in plan order, are cut into batches of as many as the crew has sensor sets; the
/// first batches of all crews listen together, then the second ones, and so on. A group is sent as many sweeps as its
/// member that asks most, and every station that stands records all of them: a receiver that is laid out is left
/// running, and what it records beyond what it asked for only makes its error bars smaller.
struct ListeningGroup {
    std::vector<std::size_t> stations;  // indices into Plan::stations, in plan order; at least one
    int sweeps = 0;                     // station.sweeps of the member that asks most
};
struct SiteVisit {
    int site_index = 0;
    std::vector<ListeningGroup> groups;
};
/// Which set of sensors stands at each station, numbered from 0 in the order of the stations: a crew's first set goes to the first
/// station of each of its batches, its second to the second, and [[sensors]] of another name are other sensors. Without any of
/// these all stations have set 0.
std::vector<std::size_t> sensor_sets_standing(const Plan& plan);

/// Every station is in one group of one visit.
std::vector<SiteVisit> site_visits(const Plan& plan);

/// Sweeps that the whole plan takes.
int sweeps_planned(const Plan& plan);

/// Sweeps that each station records when all are sent: those of its group, at least its own `sweeps`.
std::vector<int> sweeps_recorded(const Plan& plan);

}  // namespace ampturn::plan
