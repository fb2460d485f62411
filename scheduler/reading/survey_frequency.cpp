#include "scheduler/reading/survey_frequency.hpp"

#include <algorithm>

#include "scheduler/reading/judge.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::plan {

std::vector<SurveyFrequency> survey_frequencies(const PlannedTable& table,
                                                const std::vector<PlannedOutput>& outputs) {
    std::vector<SurveyFrequency> out;
    std::vector<Sent> sent_a, sent_b;
    for (std::size_t i = 0; i < outputs.size(); ++i) {
        const double f = outputs[i].frequency_hz;
        auto place = std::find_if(out.begin(), out.end(),
                                  [&](const SurveyFrequency& s) { return s.frequency_hz == f; });
        if (place == out.end()) {
            out.push_back({.frequency_hz = f});
            sent_a.emplace_back();
            sent_b.emplace_back();
            place = out.end() - 1;
        }
        const auto index = static_cast<std::size_t>(place - out.begin());
        if (outputs[i].loop == model::LoopSelection::b) {
            place->steps_b.push_back(i);
            sent_b[index].add(outputs[i].moment_a_m2_peak, table.rows[i].dwell_s);
        } else {
            place->steps_a.push_back(i);
            sent_a[index].add(outputs[i].moment_a_m2_peak, table.rows[i].dwell_s);
        }
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        out[i].dwell_a_s = sent_a[i].dwell_s;
        out[i].dwell_b_s = sent_b[i].dwell_s;
        out[i].moment_a_a_m2 = sent_a[i].moment_a_m2_peak;
        out[i].moment_b_a_m2 = sent_b[i].moment_a_m2_peak;
    }
    return out;
}

model::NoiseAt planning_noise(const Plan& plan, int hour, double frequency_hz, double surface_impedance_ohm,
                              const NaturalNoise* level) {
    if (level == nullptr) return noise_at_station(plan, Station{}, hour, frequency_hz, surface_impedance_ohm);
    Plan other = plan;
    other.noise.natural = *level;
    other.noise.natural_by_hour.clear();
    return noise_at_station(other, Station{}, hour, frequency_hz, surface_impedance_ohm);
}

}  // namespace ampturn::plan
