#pragma once

#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/reading/tensor_reading.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reading {

/// One frequency of the sweep with both its polarisations: which steps send it and what they give.
struct SurveyFrequency {
    double frequency_hz;
    std::vector<std::size_t> steps_a = {}, steps_b = {};  // of the table, from 0
    std::vector<std::size_t> steps_together = {};         // that send both at once
    Transmission sent_a = {}, sent_b = {};                // by its steps together, in one sweep
    Transmission recorded_a = {}, recorded_b = {};        // what of these is in whole records
    Transmission together_a = {}, together_b = {};        // by the steps that send both
};
/// In the order of the table. Frequencies that only one loop sends keep an empty transmission of the other; both
/// loops at once are one polarisation, and are no part of a tensor.
std::vector<SurveyFrequency> survey_frequencies(const plan::Plan& plan, const setup::SweepSetup& setup);

/// Noise that planning looks at: the plan's receiver and mains at a station without its own, at a local hour;
/// `level` instead of the hour's where given.
model::receiver::NoiseAt planning_noise(const plan::Plan& plan, int hour, double frequency_hz,
                                        double surface_impedance_ohm,
                                        const plan::NaturalNoise* level = nullptr);

}  // namespace ampturn::reading
