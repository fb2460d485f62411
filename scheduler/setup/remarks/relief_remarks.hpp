#pragma once

#include "scheduler/plan/remarks.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::setup::remarks {

/// Where the fields, which are those of flat and layered ground, are doubtful: a remark for each site of which a station
/// sees heights on the straight line between them differ by more than terrain.flat_relief_fraction of the smaller of offset
/// and skin depth, at any frequency it requires. Skin depth: of the plane wave's apparent resistivity over the station's own ground. The criterion is common practice,
/// no source. Nothing without heights.
void remark_relief(const plan::Plan& plan, const SurveySetup& setup, plan::Remarks& remarks);

}  // namespace ampturn::setup::remarks
