#include "scheduler/plan/placement_rules.hpp"

#include <algorithm>
#include <stdexcept>

#include "scheduler/base/number_text.hpp"

namespace ampturn::plan {

model::receiver::Window window_of(Window window) {
    switch (window.kind) {
        case Window::Kind::rectangular:
            return model::receiver::rectangular_window();
        case Window::Kind::hann:
            return model::receiver::hann_window();
        case Window::Kind::hamming:
            return model::receiver::hamming_window();
        case Window::Kind::blackman:
            return model::receiver::blackman_window();
        case Window::Kind::blackman_harris:
            return model::receiver::blackman_harris_window();
        case Window::Kind::tukey:
            return model::receiver::tukey_window(window.parameter);
        case Window::Kind::cosine:
            return model::receiver::cosine_power_window(window.parameter);
    }
    throw std::logic_error("window unknown");
}

model::receiver::PlacementRules placement_rules_of(const Plan& plan) {
    model::receiver::PlacementRules rules;
    rules.clock_hz = static_cast<std::int64_t>(plan.driver.clock_hz);
    const auto rate = model::receiver::ratio_of_double(plan.receiver.sample_rate_hz);
    if (!rate)
        throw plan.error("receiver.sample_rate_hz", base::toml_number(plan.receiver.sample_rate_hz),
                         "a rate with at most 17 digits");
    rules.sample_rate_hz = *rate;
    rules.record_length = plan.receiver.record_length;
    rules.mains_hz = plan.noise.mains_hz;
    rules.mains_orders = plan.noise.mains_orders;
    rules.weak_grid = plan.noise.weak_grid;
    rules.guard_bins = model::receiver::main_lobe_bins(window_of(plan.receiver.window));
    const auto add = [&](const Interferer& i) {
        rules.interferers.push_back({i.name, i.frequency_hz, i.half_width_hz});
    };
    std::for_each(plan.noise.interferers.begin(), plan.noise.interferers.end(), add);
    // One sweep is sent for all stations: what one of them hears is avoided for all.
    std::vector<Interferer> own;
    for (const Station& station : plan.stations)
        for (const Interferer& i : station.interferers)
            if (std::find(own.begin(), own.end(), i) == own.end()) own.push_back(i);
    std::for_each(own.begin(), own.end(), add);
    return rules;
}

std::vector<model::receiver::PlacementVerdict> judge_placement_of(const Plan& plan) {
    return model::receiver::judge_placement(placement_rules_of(plan), plan.sweep.frequencies_hz());
}

}  // namespace ampturn::plan
