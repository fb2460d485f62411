#pragma once

#include <span>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reading {

/// Fields at all stations of dipoles of unit moment at the loops' centres, pointing north, east and down: of loop A's, and then
/// of loop B's where its centre is at another height. Frequency by frequency numbers in a row, station by station, dipole by
/// dipole: Ex Ey Hx Hy Hz, real and imaginary.
std::vector<std::vector<double>> dipole_fields(const plan::Plan& plan, const setup::SweepSetup& setup,
                                               std::span<const double> frequencies_hz, double tolerance_rel,
                                               unsigned threads = 1);

/// Responses to the plan's loops as point dipoles, from those fields: the loops' alone, without plane wave and background.
std::vector<FrequencyResponse> loops_of_dipoles(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                std::span<const double> frequencies_hz,
                                                std::span<const std::vector<double>> fields);
/// Whole responses.
std::vector<FrequencyResponse> responses_of_dipoles(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                    std::span<const double> frequencies_hz,
                                                    std::span<const std::vector<double>> fields);

}  // namespace ampturn::reading
