#include "scheduler/survey_days/night.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/day/day_run.hpp"

namespace ampturn::survey_days {

namespace {

constexpr double step_h = 1.0 / 60;  // of handing the supply out anew
constexpr double spent_wh = 1e-3;

class Chargers {
  public:
    Chargers(const plan::Charging& charging, const std::vector<ChargedSet>& sets, Night& night)
        : charging_(charging), sets_(sets), night_(night) {
        for (std::size_t i = 0; i < sets.size(); ++i)
            if (night.sets[i].morning < 1) waiting_.push_back(i);
        std::stable_sort(waiting_.begin(), waiting_.end(), [&](std::size_t a, std::size_t b) {
            return night.sets[a].morning < night.sets[b].morning;
        });
        put_on();
    }

    void run(double hours) {
        double left_h = hours;
        while (left_h > 1e-9 && !on_.empty() && !night_.supply_spent) {
            left_h -= step(std::min(step_h, left_h));
            take_off();
        }
    }

  private:
    void put_on() {
        while (on_.size() < static_cast<std::size_t>(charging_.chargers) && !waiting_.empty()) {
            on_.push_back(waiting_.front());
            waiting_.erase(waiting_.begin());
        }
    }

    void take_off() {
        const std::size_t before = on_.size();
        std::erase_if(on_, [&](std::size_t i) { return night_.sets[i].morning >= 1; });
        const std::size_t kept = on_.size();
        if (kept == before) return;
        put_on();
        night_.changes += static_cast<int>(on_.size() - kept);
    }

    /// What each set on a charger can have, in the order they were put on.
    std::vector<double> shares_w() const {
        double left_w = charging_.supply_w ? *charging_.supply_w * charging_.efficiency
                                           : std::numeric_limits<double>::infinity();
        std::vector<double> out;
        for (const std::size_t i : on_) {
            out.push_back(taken_w(sets_[i], night_.sets[i].morning, std::min(charging_.charger_w, left_w)));
            left_w -= out.back();
        }
        return out;
    }

    /// Hours that passed: fewer where the supply ends. What sets take only falls, so that no more is drawn than was reckoned.
    double step(double hours) {
        const std::vector<double> given_w = shares_w();
        double supply_w = 0;
        for (const double w : given_w) supply_w += w / charging_.efficiency;
        night_.most_supply_w = std::max(night_.most_supply_w, supply_w);
        if (charging_.supply_wh)
            hours = std::min(hours, (*charging_.supply_wh - night_.supply_wh) / supply_w);
        for (std::size_t k = 0; k < on_.size(); ++k) {
            SetNight& set = night_.sets[on_[k]];
            const Charge charge = after_charging(sets_[on_[k]], set.morning, given_w[k], hours);
            set.morning = charge.state_of_charge;
            set.terminals_wh += charge.terminals_wh;
            set.on_charger_h += hours;
            night_.supply_wh += charge.terminals_wh / charging_.efficiency;
        }
        night_.supply_spent = charging_.supply_wh && night_.supply_wh >= *charging_.supply_wh - spent_wh;
        return hours;
    }

    const plan::Charging& charging_;
    const std::vector<ChargedSet>& sets_;
    Night& night_;
    std::vector<std::size_t> on_, waiting_;  // indices of sets, the emptiest first
};

}  // namespace

double warm_up_h(double battery_c, double place_c) {
    if (battery_c >= 0) return 0;
    if (place_c <= 0) return std::numeric_limits<double>::infinity();
    return day::battery_time_constant_s / 3600 * std::log((place_c - battery_c) / place_c);
}

Night charge_overnight(const plan::Charging& charging, const std::vector<ChargedSet>& sets,
                       const std::vector<double>& states_of_charge, double hours_most, double battery_c) {
    Night night;
    for (const double s : states_of_charge) night.sets.push_back({s, s, 0, 0});
    night.hours = std::clamp(hours_most, 0.0, charging.hours);
    night.waited_h = std::min(night.hours, warm_up_h(battery_c, charging.place_temperature_c));
    Chargers(charging, sets, night).run(night.hours - night.waited_h);
    night.all_full =
        std::all_of(night.sets.begin(), night.sets.end(), [](const SetNight& s) { return s.morning >= 1; });
    return night;
}

}  // namespace ampturn::survey_days
