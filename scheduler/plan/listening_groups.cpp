#include "scheduler/plan/listening_groups.hpp"

#include <algorithm>
#include <array>

#include "scheduler/plan/receiver_crew.hpp"

namespace ampturn::plan {

std::vector<SiteVisit> site_visits(const Plan& plan) {
    const std::vector<CrewValues> crews = receiver_crews_of(plan);
    std::vector<SiteVisit> visits;
    std::vector<int> set_up_by_crew;
    for (std::size_t i = 0; i < plan.stations.size(); ++i) {
        const Station& station = plan.stations[i];
        if (visits.empty() || visits.back().site_index != station.site_index) {
            visits.push_back({.site_index = station.site_index, .groups = {}});
            set_up_by_crew.assign(crews.size(), 0);
        }
        const auto crew = static_cast<std::size_t>(station.crew_index);
        const auto group = static_cast<std::size_t>(set_up_by_crew[crew]++ / crews[crew].sensor_sets);
        std::vector<ListeningGroup>& groups = visits.back().groups;
        if (groups.size() <= group)
            groups.resize(group + 1);  // the first batch of a crew comes before its second
        groups[group].stations.push_back(i);
        groups[group].sweeps = std::max(groups[group].sweeps, station.sweeps);
    }
    return visits;
}

std::vector<std::size_t> sensor_sets_standing(const Plan& plan) {
    std::vector<std::array<int, 3>> known;  // crew, place in its batch, [[sensors]]
    std::vector<std::size_t> out(plan.stations.size());
    for (const SiteVisit& visit : site_visits(plan))
        for (const ListeningGroup& group : visit.groups) {
            std::vector<int> set_up_by_crew(std::max<std::size_t>(1, plan.receiver_crews.size()), 0);
            for (const std::size_t s : group.stations) {
                const Station& station = plan.stations[s];
                const std::array<int, 3> set{station.crew_index,
                                             set_up_by_crew[static_cast<std::size_t>(station.crew_index)]++,
                                             station.sensors_index.value_or(-1)};
                const auto at = std::find(known.begin(), known.end(), set);
                out[s] = static_cast<std::size_t>(at - known.begin());
                if (at == known.end()) known.push_back(set);
            }
        }
    return out;
}

int sweeps_planned(const Plan& plan) {
    int count = 0;
    for (const SiteVisit& visit : site_visits(plan))
        for (const ListeningGroup& group : visit.groups) count += group.sweeps;
    return count;
}

std::vector<int> sweeps_recorded(const Plan& plan) {
    std::vector<int> out(plan.stations.size());
    for (const SiteVisit& visit : site_visits(plan))
        for (const ListeningGroup& group : visit.groups)
            for (const std::size_t station : group.stations) out[station] = group.sweeps;
    return out;
}

}  // namespace ampturn::plan
