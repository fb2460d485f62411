#pragma once

#include <vector>

/// What it costs when the receiver's clock is off. A receiver that records by the schedule cuts each dwell where the step
/// begins and ends by its own clock: what lies outside is lost, and the error bars grow as the dwell shrinks (variance falls
/// as 1/dwell, docs/physics.md). E and H of a station share one clock, so impedances keep their phase; a phase against
/// the sender's does not.
namespace ampturn::receiver_sheet {

struct ClockCost {
    double offset_s;
    double lost_fraction_of_shortest;  // of the shortest dwell, 0 to 1
    double lost_fraction;              // of all dwells together
    double error_bar_factor;           // of the shortest step; infinite where all of it is lost
};

/// offset_s >= 0, dwells at least one and above 0; else std::invalid_argument.
ClockCost clock_cost(double offset_s, const std::vector<double>& dwells_s);

/// Largest offset at which no dwell loses more than the fraction, 0 < fraction <= 1.
double offset_for_loss_s(double fraction, const std::vector<double>& dwells_s);

/// Offset that turns a phase against the sender's by a degree: 1/(360 f). frequency_hz > 0, else std::invalid_argument.
double offset_for_a_degree_s(double frequency_hz);

/// The offsets that are told, seconds.
inline constexpr double told_offsets_s[] = {0.01, 0.1, 0.5, 1, 2, 5};

}  // namespace ampturn::receiver_sheet
