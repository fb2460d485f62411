#include "scheduler/reference/battery_run.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/root.hpp"

namespace ampturn::reference {

using model::bracketed_root;
using model::transmitter::after_constant_current;
using model::transmitter::BatteryBank;
using model::transmitter::BatteryCharge;
using model::transmitter::BatterySource;
using model::transmitter::KineticWells;

namespace {

constexpr double seconds_per_hour = 3600.0;

}  // namespace

double max_power_w(const BatterySource& source) {
    return source.ocv_v * source.ocv_v / (4 * source.resistance_ohm);
}

std::optional<double> time_to_empty_s(const KineticWells& w, const BatteryCharge& q, double current_a) {
    if (q.available_ah <= 0) return 0.0;
    if (current_a <= 0) return std::nullopt;
    // q1 is a + b t + c e^{-kt} with b < 0: it may rise first, but it crosses zero once, before all is drawn.
    const double last = (q.available_ah + q.bound_ah) / current_a * seconds_per_hour;
    const auto left = [&](double t) { return after_constant_current(w, q, current_a, t).available_ah; };
    const double at_last = left(last);
    if (at_last >= 0) return last;  // nothing bound: rounding only
    return bracketed_root(left, 0.0, last, q.available_ah, at_last, 1e-12 * last);
}

double current_to_empty_a(const KineticWells& w, const BatteryCharge& q, double dt_s) {
    // What is left is linear in the charge and in the current.
    const double taken_per_ampere = -after_constant_current(w, {0, 0}, 1, dt_s).available_ah;
    return after_constant_current(w, q, 0, dt_s).available_ah / taken_per_ampere;
}

double peukert_time_h(double capacity_ah, double rated_hours, double current_a, double exponent) {
    return rated_hours * std::pow(capacity_ah / (current_a * rated_hours), exponent);
}

namespace {

// One load on one bank, with the three ways it can end.
class LoadRun {
  public:
    LoadRun(const BatteryBank& bank, double temperature_c, const BatteryLoad& load)
        : bank_(bank),
          temperature_c_(temperature_c),
          load_(load),
          wells_(model::transmitter::wells(bank, temperature_c)) {}

    BatteryRun run(BatteryCharge start, double dt_s) const {
        BatteryRun out{start, 0, ended(start)};
        while (!out.cutoff && out.elapsed_s < dt_s) {
            const double left = dt_s - out.elapsed_s;
            double h = load_.power_w ? gentle_step(out.charge, left) : left;
            BatteryCharge next = moved(out.charge, h);
            auto cut = ended(next);
            if (cut) {
                // Still running at 0, ended at h: the first moment of any end.
                const auto margin = [&](double t) { return worst_margin(moved(out.charge, t)); };
                h = bracketed_root(margin, 0.0, h, worst_margin(out.charge), worst_margin(next), 1e-9);
                next = moved(out.charge, h);
                cut = ended(next);
                if (!cut) cut = nearest_end(next);
            }
            out.charge = next;
            out.elapsed_s += h;
            out.cutoff = cut;
            if (h == left) out.elapsed_s = dt_s;
        }
        return out;
    }

  private:
    std::optional<double> current(const BatteryCharge& q) const {
        return load_.current_a ? load_.current_a
                               : model::transmitter::constant_power_current_a(source(q), *load_.power_w);
    }
    BatterySource source(const BatteryCharge& q) const {
        return model::transmitter::battery_source(
            bank_, model::transmitter::soc_for_voltage(bank_, wells_, q), temperature_c_);
    }
    // Exponential midpoint: constant current is exact, a slowly moving one second order.
    BatteryCharge moved(const BatteryCharge& q, double h) const {
        const double now = current(q).value_or(0);
        if (load_.current_a) return after_constant_current(wells_, q, now, h);
        const double mid = current(after_constant_current(wells_, q, now, h / 2)).value_or(now);
        return after_constant_current(wells_, q, mid, h);
    }
    // A step in which the current moves by no more than 1e-5 of itself.
    double gentle_step(const BatteryCharge& q, double left) const {
        const double now = current(q).value_or(0);
        double h = std::min(left, 60.0);
        for (int i = 0; i < 40; ++i) {
            const auto then = current(after_constant_current(wells_, q, now, h));
            if (then && std::abs(*then - now) <= 1e-5 * std::abs(now)) break;
            if (h < 1e-3) break;
            h /= 2;
        }
        return h;
    }
    // Positive while running: the smallest of the three distances to an end, each in its own relative unit.
    double voltage_margin(const BatteryCharge& q) const {
        const BatterySource s = source(q);
        const auto i = current(q);
        if (!i) return -1;
        return (s.ocv_v - s.resistance_ohm * *i) / s.cutoff_v - 1;
    }
    double power_margin(const BatteryCharge& q) const {
        return load_.power_w ? max_power_w(source(q)) / std::max(*load_.power_w, 1e-300) - 1 : 1;
    }
    double charge_margin(const BatteryCharge& q) const { return q.available_ah / wells_.capacity_ah; }
    double worst_margin(const BatteryCharge& q) const {
        return std::min({voltage_margin(q), power_margin(q), charge_margin(q)});
    }
    std::optional<CutoffReason> ended(const BatteryCharge& q) const {
        if (charge_margin(q) < 0) return CutoffReason::empty;
        if (power_margin(q) < 0) return CutoffReason::power;
        if (voltage_margin(q) < 0) return CutoffReason::voltage;
        return std::nullopt;
    }
    CutoffReason nearest_end(const BatteryCharge& q) const {
        if (charge_margin(q) <= std::min(voltage_margin(q), power_margin(q))) return CutoffReason::empty;
        return voltage_margin(q) <= power_margin(q) ? CutoffReason::voltage : CutoffReason::power;
    }

    const BatteryBank& bank_;
    double temperature_c_;
    BatteryLoad load_;
    KineticWells wells_;
};

}  // namespace

BatteryRun run_battery(const BatteryBank& bank, double temperature_c, BatteryCharge start,
                       const BatteryLoad& load, double dt_s) {
    return LoadRun(bank, temperature_c, load).run(start, dt_s);
}

}  // namespace ampturn::reference
