#include "scheduler/plan/receiver_crew.hpp"

namespace ampturn::plan {

std::vector<CrewValues> receiver_crews_of(const Plan& plan) {
    const Day& day = plan.day;
    std::vector<CrewValues> crews;
    for (const ReceiverCrew& crew : plan.receiver_crews)
        crews.push_back({.name = crew.name,
                         .people = crew.people.value_or(day.crew_receiver),
                         .sensor_sets = crew.sensor_sets,
                         .pack_up_s = 60 * crew.pack_up_min.value_or(day.receiver_pack_up_min)});
    if (crews.empty())
        crews.push_back({.name = {},
                         .people = day.crew_receiver,
                         .sensor_sets = 1,
                         .pack_up_s = 60 * day.receiver_pack_up_min});
    return crews;
}

double receiver_set_up_s(const Plan& plan, const Station& station) {
    const auto crew = static_cast<std::size_t>(station.crew_index);
    const std::optional<double> of_crew =
        crew < plan.receiver_crews.size() ? plan.receiver_crews[crew].set_up_min : std::nullopt;
    return 60 * station.set_up_min.value_or(of_crew.value_or(plan.day.receiver_set_up_min));
}

}  // namespace ampturn::plan
