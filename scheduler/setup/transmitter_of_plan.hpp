#pragma once

#include "model/transmitter/transmitter.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::setup {

/// The transmitter a plan describes, with battery set 0 (its health and temperature model) and the loop azimuths of
/// the loops themselves. Throws InputError pointing at the plan's key when the model refuses a value.
///
/// Choices made here, each an assumption that the report can be judged by:
/// - a capacitor's loss tangent becomes a series resistance at its resonance with the whole of loop A,
///   tan/(omega0 C);
/// - an aged battery's internal resistance rises as its capacity falls, factor 1/health
///   (common practice, no source);
/// - leads count twice their length, same wire as the loop, as resistance only.
model::transmitter::TransmitterDesign transmitter_design_of(const plan::Plan& plan);
model::transmitter::Transmitter transmitter_of(const plan::Plan& plan);

/// The same transmitter with another of the battery sets carried; 0 <= set_index < sets_carried.
model::transmitter::Transmitter with_battery_set(model::transmitter::Transmitter transmitter,
                                                 const plan::Plan& plan, int set_index);

/// Where discharge usually ends, of one cell under load: that of model::transmitter::typical_block.
double usual_cut_off_cell_v(plan::Chemistry chemistry);

}  // namespace ampturn::setup
