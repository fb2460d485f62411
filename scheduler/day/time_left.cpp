#include "scheduler/day/time_left.hpp"

#include <algorithm>
#include <cmath>

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

double way_back_s(const plan::Plan& plan, const Travel& travel, int station_index,
                  const std::string& transmitter_place) {
    const plan::Station& station = plan.stations[static_cast<std::size_t>(station_index)];
    const double transmitter_s =
        60 * plan.day.transmitter_pack_up_min + travel.seconds(transmitter_place, "base");
    const double receiver_s =
        60 * (plan.day.quick_look_min + plan.day.receiver_pack_up_min) + travel.seconds(station.name, "base");
    return std::max(transmitter_s, receiver_s);
}

bool first_sweep_fits(const plan::Plan& plan, const Travel& travel, double sweep_s, int station_index,
                      const Crews& crews) {
    const plan::Station& station = plan.stations[static_cast<std::size_t>(station_index)];
    const bool moves = crews.transmitter_place != station.site;
    const double transmitter_s =
        crews.transmitter_s +
        (moves ? travel.seconds(crews.transmitter_place, station.site) + 60 * plan.day.transmitter_set_up_min
               : 0);
    const double receiver_s = crews.receiver_s + travel.seconds(crews.receiver_place, station.name) +
                              60 * station.set_up_min.value_or(plan.day.receiver_set_up_min);
    const double start_s = on_mark(
        plan, std::max(transmitter_s, receiver_s) + 60 * plan.day.agree_min + lead_before_sweep_s(plan));
    return start_s + sweep_s + way_back_s(plan, travel, station_index, station.site) <= plan.day.end_s;
}

}  // namespace ampturn::day
