#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "model/transmitter/transmitter.hpp"
#include "scheduler/core/config.hpp"
#include "scheduler/core/table.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/planning_condition.hpp"

namespace ampturn::setup {

/// One row of the sweep table, as the clock can really give it.
struct TableRow {
    int step_number;  // from 1
    model::loop::LoopSelection loop;
    int turns;
    double capacitance_f;  // 0: none
    double requested_hz, frequency_hz, error_ppm;
    std::uint32_t divisor, cycles;
    double dwell_s;
    double target_current_a_peak;
    int mains_clash_order;                     // 0: none
    model::transmitter::DriveRequest request;  // what the step asks of the driver
};

/// The sweep table of a plan as the unit will run it, and the same for people.
struct PlannedTable {
    core::Table table;
    std::vector<TableRow> rows;
    std::vector<std::uint8_t> image;  // what is uploaded to the unit
    std::string crc32;                // of the image, as every sheet prints it (image_crc32())
    double duration_s;                // one sweep, waits for UTC marks not counted
    PlanningCondition made_for;
};

/// Settings of the unit that runs the plan. Thresholds follow from the plan: over-current from the largest
/// target, under-voltage from the battery's cut-off, with a hysteresis of 9.5 % (common practice, no source).
core::Config unit_config_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter);

/// What a step of the table asks of the driver; every sheet and plan takes it from the table's rows.
model::transmitter::DriveRequest drive_request_of(const core::Step& step, std::uint64_t clock_hz);

/// Quantises every step, finds the best tap and capacitor where the plan leaves them open (largest moment
/// within the limits, under one condition), and checks the result as the unit will. InputError points at the
/// step that cannot be.
PlannedTable table_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
                      const core::Config& unit, const PlanningCondition& condition);

}  // namespace ampturn::setup
