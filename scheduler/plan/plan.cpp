#include "scheduler/plan/plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace ampturn::plan {

namespace {

double one_for_all_or_each(const std::vector<double>& values, int index) {
    return values.size() == 1 ? values.front() : values.at(static_cast<std::size_t>(index));
}

}  // namespace

int Battery::cells() const { return cells_series.value_or(chemistry == Chemistry::lifepo4 ? 4 : 6); }

double Battery::health_of(int set_index) const { return one_for_all_or_each(state_of_health, set_index); }

double Battery::state_of_charge_of(int set_index) const {
    return one_for_all_or_each(state_of_charge, set_index);
}

bool Station::requires_frequency(double frequency_hz) const {
    return required_frequencies_hz.empty() ||
           std::any_of(required_frequencies_hz.begin(), required_frequencies_hz.end(),
                       [&](double f) { return std::abs(f - frequency_hz) <= 1e-3 * f; });
}

std::vector<double> Sweep::frequencies_hz() const {
    std::vector<double> frequencies;
    for (const Step& step : steps)
        if (std::find(frequencies.begin(), frequencies.end(), step.frequency_hz) == frequencies.end())
            frequencies.push_back(step.frequency_hz);
    return frequencies;
}

double Day::air_temperature_c(double time_of_day_s) const {
    if (temperature_hour.empty()) return 15;
    const double hour =
        time_of_day_s > 86'400 ? std::fmod(time_of_day_s, 86'400) / 3600 : time_of_day_s / 3600;
    const auto above = std::upper_bound(temperature_hour.begin(), temperature_hour.end(), hour);
    if (above == temperature_hour.begin()) return temperature_c.front();
    if (above == temperature_hour.end()) return temperature_c.back();
    const auto i = static_cast<std::size_t>(above - temperature_hour.begin());
    const double share = (hour - temperature_hour[i - 1]) / (temperature_hour[i] - temperature_hour[i - 1]);
    return temperature_c[i - 1] + share * (temperature_c[i] - temperature_c[i - 1]);
}

base::Position KeyPositions::of(const std::string& key) const {
    std::string nearest = key;
    while (true) {
        if (const auto found = positions_.find(nearest); found != positions_.end()) return found->second;
        const auto cut = nearest.find_last_of(".[");
        if (cut == std::string::npos) return {};
        nearest.resize(cut);
    }
}

double Plan::loop_azimuth_deg(model::loop::LoopSelection which, int site_index) const {
    const Site& site = sites.at(static_cast<std::size_t>(site_index));
    const auto& here =
        which == model::loop::LoopSelection::b ? site.loop_b_azimuth_deg : site.loop_a_azimuth_deg;
    return here.value_or(loop(which).azimuth_deg);
}

std::string Step::key() const {
    return (of_list ? "sweep.frequencies_hz[" : "sweep.step[") + std::to_string(entry) + ']';
}

std::string Plan::key_of(const Step& step, const std::string& name) const {
    // A frequency of the list is its own key, and has no others below it.
    if (step.of_list && name == "frequency_hz") return step.key();
    const std::string own = step.key() + '.' + name, common = "sweep." + name;
    return !positions.given(own) && positions.given(common) ? common : own;
}

base::InputError Plan::error(const std::string& key, std::string found, std::string allowed) const {
    return base::InputError({source.path, positions.of(key), key, std::move(found), std::move(allowed)});
}

}  // namespace ampturn::plan
