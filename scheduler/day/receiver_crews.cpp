#include "scheduler/day/receiver_crews.hpp"

#include <algorithm>
#include <limits>
#include <string>
#include <utility>

namespace ampturn::day {
namespace {

constexpr int nowhere = -1;

std::size_t crew_of(const plan::Plan& plan, std::size_t station) {
    return static_cast<std::size_t>(plan.stations[station].crew_index);
}

}  // namespace

ReceiverCrews::ReceiverCrews(const plan::Plan& plan, const Travel& travel,
                             std::vector<TimelineEntry>* timeline)
    : plan_(plan),
      travel_(travel),
      timeline_(timeline),
      values_(plan::receiver_crews_of(plan)),
      crews_(values_.size(), {plan.day.start_s, "base"}) {}

void ReceiverCrews::leave(double time_s) {
    for (CrewPlace& crew : crews_) crew.free_s = time_s;
}

void ReceiverCrews::go(std::size_t crew, const std::string& to, int site, int station) {
    CrewPlace& at = crews_[crew];
    const double span_s = travel_.seconds(at.place, to);
    if (span_s > 0 && timeline_ != nullptr)
        timeline_->push_back({at.free_s, at.free_s + span_s,
                              Journey{Crew::receiver, at.place, to, static_cast<int>(crew)}, site, station});
    at.free_s += span_s;
    at.place = to;
}

void ReceiverCrews::work(std::size_t crew, double span_s, Activity activity, std::size_t station) {
    CrewPlace& at = crews_[crew];
    const plan::Station& where = plan_.stations[station];
    go(crew, where.name, where.site_index, static_cast<int>(station));
    if (timeline_ != nullptr)
        timeline_->push_back({at.free_s, at.free_s + span_s, std::move(activity), where.site_index,
                              static_cast<int>(station)});
    at.free_s += span_s;
}

void ReceiverCrews::set_up(const std::vector<std::size_t>& stations) {
    for (const std::size_t s : stations) {
        const std::size_t crew = crew_of(plan_, s);
        work(crew, plan::receiver_set_up_s(plan_, plan_.stations[s]),
             SetUp{Crew::receiver, static_cast<int>(crew)}, s);
    }
}

std::vector<std::size_t> ReceiverCrews::crews_of(const std::vector<std::size_t>& stations) const {
    std::vector<std::size_t> crews;
    for (const std::size_t s : stations)
        if (std::find(crews.begin(), crews.end(), crew_of(plan_, s)) == crews.end())
            crews.push_back(crew_of(plan_, s));
    return crews;
}

double ReceiverCrews::ready_s(const std::vector<std::size_t>& stations) const {
    double last_s = -std::numeric_limits<double>::infinity();
    for (const std::size_t crew : crews_of(stations)) last_s = std::max(last_s, crews_[crew].free_s);
    return last_s;
}

void ReceiverCrews::wait_until(const std::vector<std::size_t>& stations, double time_s) {
    for (const std::size_t crew : crews_of(stations))
        crews_[crew].free_s = std::max(crews_[crew].free_s, time_s);
}

void ReceiverCrews::look_at_data(const std::vector<std::size_t>& stations) {
    for (const std::size_t crew : crews_of(stations)) crews_[crew].free_s += 60 * plan_.day.quick_look_min;
}

void ReceiverCrews::pack_up(const std::vector<std::size_t>& stations) {
    for (const std::size_t s : stations) {
        const std::size_t crew = crew_of(plan_, s);
        work(crew, values_[crew].pack_up_s, PackUp{Crew::receiver, static_cast<int>(crew)}, s);
    }
}

std::vector<double> ReceiverCrews::go_home() {
    std::vector<bool> has_station(crews_.size(), false);
    for (const plan::Station& station : plan_.stations)
        has_station[static_cast<std::size_t>(station.crew_index)] = true;
    std::vector<double> back_s(crews_.size(), std::numeric_limits<double>::quiet_NaN());
    for (std::size_t crew = 0; crew < crews_.size(); ++crew) {
        if (!has_station[crew]) continue;
        go(crew, "base", nowhere, nowhere);
        back_s[crew] = crews_[crew].free_s;
    }
    return back_s;
}

}  // namespace ampturn::day
