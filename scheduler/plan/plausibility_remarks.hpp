#pragma once

#include "scheduler/plan/remarks.hpp"

namespace ampturn::plan {

/// A cut-off outside what crews use for cells of the chemistry: 2.5 to 3.1 V lithium iron phosphate, 1.7 to 1.95 V
/// lead-acid (common practice, no source).
void remark_cell_volts(const Plan& plan, Remarks& remarks);

/// A converter's bus between the volts of an empty and of a full set: one that only steps up or only steps down cannot hold
/// it. Full: 3.65 V a cell lithium iron phosphate, 2.4 V lead-acid (common practice, no source).
void remark_bus_volts(const Plan& plan, Remarks& remarks);

/// Frequencies sent twice with the same loop, or nearer to each other than a bin of the receiver's record, where one
/// record cannot tell them apart (definition of the bin, sample_rate_hz / record_length).
void remark_repeats(const Plan& plan, Remarks& remarks);

}  // namespace ampturn::plan
