#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/plan/file/config_input.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/tree/config_read.hpp"

namespace ampturn::plan::file {

using namespace tree;

/// From what the file says to what a plan is: lists filled, places worked out, loop order expanded, and the
/// rules that span several keys checked. Each function takes keys that are fine by themselves.

class Refusals {
  public:
    Refusals(const KeyPositions& positions, Problems& problems)
        : positions_(positions), problems_(problems) {}
    void add(const std::string& key, std::string found, std::string allowed) {
        problems_.add_at(positions_.of(key), key, std::move(found), std::move(allowed));
    }
    bool given(const std::string& key) const { return positions_.given(key); }
    std::size_t count() const { return problems_.count(); }

  private:
    const KeyPositions& positions_;
    Problems& problems_;
};

Ground expand_ground(const GroundInput& input, const std::string& key, Refusals& refusals);
Loop expand_loop(Loop loop, const std::string& key, Refusals& refusals);
std::vector<Site> expand_sites(const std::vector<SiteInput>& input, Refusals& refusals);
std::vector<Station> expand_stations(const std::vector<StationInput>& input, const std::vector<Site>& sites,
                                     Refusals& refusals);

std::vector<ReceiverCrew> expand_receiver_crews(const std::vector<ReceiverCrew>& input, Refusals& refusals);

/// What differs from place to place (config_expand_surroundings.cpp).
std::vector<NamedGround> expand_grounds(const std::vector<NamedGroundInput>& input, Refusals& refusals);
std::vector<PowerLine> expand_power_lines(const std::vector<PowerLineInput>& input,
                                          const std::vector<Site>& sites, Refusals& refusals);
/// What the stations have of their own: index of crew, ground and sensors, spectrum (files beside the plan's), mains of power lines.
/// Sensors that have no coil of their own keep none; classes of coils become numbers.
void add_surroundings(const PlanInput& input, Plan& plan, const std::string& plan_path, Refusals& refusals);

/// Names in a list of tables: each once.
template <class Named>
void check_names_once(const std::vector<Named>& entries, const std::string& key, Refusals& refusals) {
    for (std::size_t i = 0; i < entries.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (entries[j].name == entries[i].name)
                refusals.add(key + "[" + std::to_string(i + 1) + "].name",
                             "\"" + entries[i].name + "\" again", "each name once");
}

template <class Named>
std::vector<std::string> names_of(const std::vector<Named>& entries) {
    std::vector<std::string> names;
    for (const Named& entry : entries) names.push_back(entry.name);
    return names;
}
/// Which of `names` it is; refused at `key` where it is none. `what` they are: "the name of a site".
std::optional<int> index_of_name(const std::string& name, const std::vector<std::string>& names,
                                 const std::string& key, const char* what, Refusals& refusals);

/// Survey days by date, their stations as indices of `plan.stations`, their times as [day] has them where they have none
/// of their own; `plan.day` is filled in (config_expand_days.cpp).
void add_survey_days(const PlanInput& input, Plan& plan, Refusals& refusals);

Sweep expand_sweep(const SweepInput& input, Refusals& refusals);

/// Rules between tables; call when nothing above was refused.
void check_between_tables(const Plan& plan, Refusals& refusals);

/// Back again, for writing: explicit steps, no value that the file could not have held.
PlanInput input_of(const Plan& plan);

}  // namespace ampturn::plan::file
