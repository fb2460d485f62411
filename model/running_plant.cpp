#include "model/running_plant.hpp"

namespace ampturn::model {

const Flow& RunningPlant::flow_now(const Drive& drive) const {
    if (!known_ || known_->state != state_ || known_->drive != drive) {
        const Moving m{state_.charge, state_.winding_c, state_.electronics_c};
        known_ = {state_, drive, PlantFlow(rig_, state_, drive).flow(m)};
    }
    return known_->flow;
}

PlantReadings RunningPlant::read(const Drive& drive) const {
    const Flow& flow = flow_now(drive);
    return PlantFlow(rig_, state_, drive)
        .readings({state_.charge, state_.winding_c, state_.electronics_c}, flow);
}

PlantResult RunningPlant::advance(const Drive& drive, double dt_s) {
    return advance_from(rig_, state_, drive, dt_s, &flow_now(drive));
}

}  // namespace ampturn::model
