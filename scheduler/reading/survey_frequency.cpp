#include "scheduler/reading/survey_frequency.hpp"

#include <algorithm>

#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::reading {

std::vector<SurveyFrequency> survey_frequencies(const plan::Plan& plan, const setup::SweepSetup& setup) {
    const std::vector<setup::PlannedOutput>& outputs = setup.outputs;
    std::vector<SurveyFrequency> out;
    for (std::size_t i = 0; i < outputs.size(); ++i) {
        const double f = outputs[i].frequency_hz;
        auto place = std::find_if(out.begin(), out.end(),
                                  [&](const SurveyFrequency& s) { return s.frequency_hz == f; });
        if (place == out.end()) {
            out.push_back({.frequency_hz = f});
            place = out.end() - 1;
        }
        if (outputs[i].loop == model::loop::LoopSelection::both) {
            place->steps_together.push_back(i);
            place->together_a.add(outputs[i].moment_a_m2_peak, setup.table.rows[i].dwell_s);
            place->together_b.add(outputs[i].moment_b_a_m2_peak, setup.table.rows[i].dwell_s);
            continue;
        }
        const bool loop_b = outputs[i].loop == model::loop::LoopSelection::b;
        (loop_b ? place->steps_b : place->steps_a).push_back(i);
        const double moment_a_m2 = outputs[i].moment_a_m2_peak, dwell_s = setup.table.rows[i].dwell_s;
        (loop_b ? place->sent_b : place->sent_a).add(moment_a_m2, dwell_s);
        (loop_b ? place->recorded_b : place->recorded_a)
            .add(moment_a_m2, setup::sampling_for(plan.receiver, f, dwell_s).recorded_s());
    }
    return out;
}

model::receiver::NoiseAt planning_noise(const plan::Plan& plan, int hour, double frequency_hz,
                                        double surface_impedance_ohm, const plan::NaturalNoise* level) {
    if (level == nullptr)
        return setup::noise_at_station(plan, plan::Station{}, hour, frequency_hz, surface_impedance_ohm);
    plan::Plan other = plan;
    other.noise.natural = *level;
    other.noise.natural_by_hour.clear();
    return setup::noise_at_station(other, plan::Station{}, hour, frequency_hz, surface_impedance_ohm);
}

}  // namespace ampturn::reading
