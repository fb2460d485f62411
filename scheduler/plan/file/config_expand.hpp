#pragma once

#include <string>
#include <utility>
#include <vector>

#include "scheduler/plan/file/config_input.hpp"
#include "scheduler/plan/file/config_read.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::plan::file {

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
Sweep expand_sweep(const SweepInput& input, Refusals& refusals);

/// Rules between tables; call when nothing above was refused.
void check_between_tables(const Plan& plan, Refusals& refusals);

/// Back again, for writing: explicit steps, no value that the file could not have held.
PlanInput input_of(const Plan& plan);

}  // namespace ampturn::plan::file
