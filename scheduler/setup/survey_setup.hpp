#pragma once

#include <cstddef>
#include <vector>

#include "model/ground/earth.hpp"
#include "model/transmitter/transmitter.hpp"
#include "scheduler/core/config.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/keep_out.hpp"
#include "scheduler/setup/planned_output.hpp"
#include "scheduler/setup/unit_of_plan.hpp"

namespace ampturn::setup {

/// All that follows from a plan before anything is planned: made once and passed on, so that every command,
/// sheet and panel speaks of the same ground, transmitter and table.
struct SweepSetup {
    model::ground::LayeredEarth earth;                 // where a station has no ground of its own
    std::vector<model::ground::LayeredEarth> grounds;  // of Plan::grounds
    model::transmitter::Transmitter transmitter;       // with battery set 0
    core::Config unit;                                 // of the unit that runs the table
    PlannedTable table;
    std::vector<double> frequencies_hz;  // of the table, as the clock gives them, each once, in its order
    std::vector<PlannedOutput> outputs;  // step by step

    /// The ground a station of the plan stands on.
    const model::ground::LayeredEarth& ground_of(const plan::Station& station) const {
        return station.ground_index ? grounds[static_cast<std::size_t>(*station.ground_index)] : earth;
    }
};
/// The same, and how far people keep off: a search that takes many times as long as all the rest.
struct SurveySetup : SweepSetup {
    KeepOut keep_out;
};

/// InputError, with the plan's key, for what cannot be.
SweepSetup sweep_setup_of(const plan::Plan& plan);
SurveySetup survey_setup_of(const plan::Plan& plan);
/// `sweep` is the plan's own.
SurveySetup with_keep_out(const plan::Plan& plan, SweepSetup sweep);

/// The survey as it was set up, but over other grounds, in other weather, with other batteries (a run of a
/// Monte Carlo run): grounds and battery are those of `changed`; table, planned outputs and keep-out stay, for
/// they were uploaded, printed and pegged out beforehand. Loops, driver and sweep must be those of the plan
/// that was set up.
SurveySetup survey_setup_of(const plan::Plan& changed, const SurveySetup& planned);

}  // namespace ampturn::setup
