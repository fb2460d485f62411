#include "scheduler/day/time_left.hpp"

#include <algorithm>
#include <cmath>

#include "scheduler/plan/receiver_crew.hpp"

namespace ampturn::day {

double on_mark(const plan::Plan& plan, double t) {
    const double mark_s = plan.sweep.start_align == plan::Align::minute   ? 60
                          : plan.sweep.start_align == plan::Align::second ? 1
                                                                          : 0;
    if (mark_s == 0) return t;
    const double offset_s = 3600 * plan.survey.utc_offset_h;
    return std::ceil((t - offset_s) / mark_s) * mark_s + offset_s;
}

double lead_before_sweep_s(const plan::Plan& plan) {
    return plan.unit.warning_s + arm_before_go_s + go_before_mark_s;
}

double way_back_s(const plan::Plan& plan, const Travel& travel, const std::vector<std::size_t>& stations,
                  const std::string& transmitter_place) {
    double latest_s = 60 * plan.day.transmitter_pack_up_min + travel.seconds(transmitter_place, "base");
    const std::vector<plan::CrewValues> crews = plan::receiver_crews_of(plan);
    std::vector<CrewPlace> receivers(crews.size(), {60 * plan.day.quick_look_min, ""});
    for (const std::size_t index : stations) {
        const plan::Station& station = plan.stations[index];
        receivers[static_cast<std::size_t>(station.crew_index)].place = station.name;
    }
    for (const std::size_t index : stations) {
        const plan::Station& station = plan.stations[index];
        const auto crew = static_cast<std::size_t>(station.crew_index);
        CrewPlace& receiver = receivers[crew];
        receiver.free_s += travel.seconds(receiver.place, station.name) + crews[crew].pack_up_s;
        receiver.place = station.name;
    }
    for (const CrewPlace& receiver : receivers)
        if (!receiver.place.empty())
            latest_s = std::max(latest_s, receiver.free_s + travel.seconds(receiver.place, "base"));
    return latest_s;
}

bool first_sweep_fits(const plan::Plan& plan, const Travel& travel, double sweep_s,
                      const std::vector<std::size_t>& stations, const Crews& crews) {
    const std::string& site = plan.stations[stations.front()].site;
    const bool moves = crews.transmitter.place != site;
    double ready_s =
        crews.transmitter.free_s +
        (moves ? travel.seconds(crews.transmitter.place, site) + 60 * plan.day.transmitter_set_up_min : 0);
    std::vector<CrewPlace> receivers = crews.receivers;
    for (const std::size_t index : stations) {
        const plan::Station& station = plan.stations[index];
        CrewPlace& receiver = receivers[static_cast<std::size_t>(station.crew_index)];
        receiver.free_s =
            receiver.free_s + travel.seconds(receiver.place, station.name) + receiver_set_up_s(plan, station);
        receiver.place = station.name;
        ready_s = std::max(ready_s, receiver.free_s);
    }
    const double start_s = on_mark(plan, ready_s + 60 * plan.day.agree_min + lead_before_sweep_s(plan));
    return start_s + sweep_s + way_back_s(plan, travel, stations, site) <= plan.day.end_s;
}

std::vector<std::size_t> stations_in_time(const plan::Plan& plan, const Travel& travel, double sweep_s,
                                          const std::vector<std::size_t>& stations, const Crews& crews) {
    if (first_sweep_fits(plan, travel, sweep_s, stations, crews)) return stations;
    std::vector<std::size_t> in_time;
    for (const std::size_t station : stations) {
        in_time.push_back(station);
        if (!first_sweep_fits(plan, travel, sweep_s, in_time, crews)) in_time.pop_back();
    }
    return in_time;
}

}  // namespace ampturn::day
