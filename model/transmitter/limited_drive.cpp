#include "model/transmitter/limited_drive.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/bridge/bridge_modes.hpp"

namespace ampturn::model::transmitter {

namespace {

class Level {
  public:
    Level(const LoopCircuit& circuit, double bus_v) : c_(circuit), bus_v_(bus_v) {}
    const DrivenLoop& full() const {
        if (!full_) full_ = at(1, false);
        return *full_;
    }

    DrivenLoop at(double level, bool with_harmonics) const {
        DrivenLoop out;
        out.bridge_v = bus_v_;
        out.duty = 1;
        if (level <= 0 || c_.open || bus_v_ <= 0) {
            out.duty = 0;
            out.bus_w = c_.fixed_w;
            return out;
        }
        bridge::BridgeVoltage v{c_.frequency_hz, bus_v_, c_.duty, c_.dead_time_s};
        if (c_.control == bridge::CurrentControl::clamp && level < 1) {
            double rise = 0;
            out.current = bridge::clamped_state(c_.load, c_.frequency_hz, bus_v_,
                                                level * full().current.peak_a * (1 - 1e-12), rise);
        } else {
            if (c_.control == bridge::CurrentControl::supply)
                v.bus_v *= level;
            else
                v.duty = c_.duty * level;
            out.current = bridge::bridge_steady_state(c_.load, v, with_harmonics);
        }
        out.duty = v.duty;
        out.bridge_v = v.bus_v;
        out.switching_w = bridge::switching_loss_w(out.current, v, c_.overlap_s);
        out.bus_w = out.current.mean_power_w + out.switching_w + c_.fixed_w;
        return out;
    }

    // Level at which a quantity meets its limit, given its value at a higher level that exceeds it: of the two
    // levels that rounding leaves, the one within the limit.
    template <class Quantity>
    double meeting(const Quantity& quantity, double limit, double high, double high_value) const {
        const double low_value = quantity(at(0, false));
        if (low_value >= limit) return 0;  // fixed losses alone
        if (c_.control == bridge::CurrentControl::supply && low_value == 0) return high * limit / high_value;
        double within = 0;  // the bracket's lower end
        const auto excess = [&](double level) {
            const double value = quantity(at(level, false)) - limit;
            if (value <= 0) within = std::max(within, level);
            return value;
        };
        bracketed_root(excess, 0.0, high, low_value - limit, high_value - limit, 1e-14);
        return within;
    }

    /// The drive that gives this fundamental, where the sine of the pulse width gives it at once: the common
    /// case of a target below full drive. With a capacitor dead time may change the width by a constant,
    /// which the angle of the fundamental foretells; where the edges fell otherwise, or the current passes
    /// through zero within a dead time, a few secant steps find it.
    std::optional<DrivenLoop> by_width(double fundamental_peak_a) const {
        if (c_.control == bridge::CurrentControl::supply || c_.control == bridge::CurrentControl::clamp ||
            c_.open || !(bus_v_ > 0) || !(fundamental_peak_a > 0))
            return std::nullopt;
        const double ampere_at_1 = bridge::bridge_voltage_harmonic_v(bus_v_, 1, 1) /
                                   bridge::load_impedance_ohm(c_.load, c_.frequency_hz);
        const double sine = fundamental_peak_a / ampere_at_1;
        if (!(sine < std::sin(pi / 2 * c_.duty))) return std::nullopt;
        const double wanted = 2 / pi * std::asin(sine);
        double width = wanted;
        if (c_.load.capacitance_f != bridge::no_capacitor && c_.dead_time_s > 0) {
            const double omega = 2 * pi * c_.frequency_hz;
            const double leads_rad = std::atan2(
                1 / (omega * c_.load.capacitance_f) - omega * c_.load.inductance_h, c_.load.resistance_ohm);
            const double shift = 2 * c_.frequency_hz * c_.dead_time_s;
            if (leads_rad > (wanted - 1) * pi / 2) width += shift;
            if (leads_rad > (1 - wanted) * pi / 2) width -= shift;
        }
        double width_before = 0, short_before = 0;
        for (int step = 0; step < 7 && width > 0 && width < c_.duty; ++step) {
            const DrivenLoop out = at(width / c_.duty, false);
            const double got = out.current.fundamental_peak_a;
            const double off = std::abs(got - fundamental_peak_a);
            if (off <= (step < 2 ? 1e-13 : 1e-11) * fundamental_peak_a) return out;
            const bool loop_only = c_.load.capacitance_f == bridge::no_capacitor;
            if (loop_only && (step > 0 || out.current.zero_interval)) break;
            if (!(got < ampere_at_1)) break;
            const double too_short = wanted - 2 / pi * std::asin(got / ampere_at_1);
            const double slope = step > 0 ? (short_before - too_short) / (width - width_before) : 1.0;
            width_before = width, short_before = too_short;
            width += slope > 0.2 && slope < 5 ? too_short / slope : too_short;
        }
        return std::nullopt;
    }

    double for_fundamental(double limit) const {
        const double at_full = full().current.fundamental_peak_a;
        if (c_.control == bridge::CurrentControl::supply) return limit / at_full;
        if (c_.control != bridge::CurrentControl::clamp && c_.dead_time_s == 0)
            return 2 / pi / c_.duty * std::asin(std::min(1.0, limit / at_full) * std::sin(pi / 2 * c_.duty));
        return meeting([](const DrivenLoop& d) { return d.current.fundamental_peak_a; }, limit, 1.0, at_full);
    }

  private:
    const LoopCircuit& c_;
    double bus_v_;
    mutable std::optional<DrivenLoop> full_;  // made when first asked for
};

struct Bound {
    Limit limit;
    double allowed;
    double (*quantity)(const DrivenLoop&);
};

}  // namespace

DrivenLoop drive_within_limits(const LoopCircuit& circuit, double bus_v, const DriveLimits& limits,
                               bool with_harmonics) {
    const Level drive(circuit, bus_v);
    double level = 1;
    Limit reason = Limit::voltage;
    DrivenLoop now;
    if (const auto direct = drive.by_width(limits.fundamental_peak_a)) {
        now = *direct;
        level = now.duty / circuit.duty;
        reason = Limit::target;
    } else if (now = drive.full(); now.current.fundamental_peak_a > limits.fundamental_peak_a) {
        level = limits.fundamental_peak_a > 0 ? drive.for_fundamental(limits.fundamental_peak_a) : 0;
        reason = Limit::target;
        now = drive.at(level, false);
    }
    const std::array<Bound, 6> bounds{{
        {Limit::rms_current, limits.rms_a, [](const DrivenLoop& d) { return d.current.rms_a; }},
        {Limit::heat, limits.heat_rms_a, [](const DrivenLoop& d) { return d.current.rms_a; }},
        {Limit::peak_current, limits.peak_a, [](const DrivenLoop& d) { return d.current.peak_a; }},
        {Limit::capacitor_voltage, limits.capacitor_peak_v,
         [](const DrivenLoop& d) { return d.current.capacitor_peak_v; }},
        {Limit::bus_power, limits.bus_power_w, [](const DrivenLoop& d) { return d.bus_w; }},
        {Limit::battery_current, limits.battery_current_w, [](const DrivenLoop& d) { return d.bus_w; }},
    }};
    // Each pass lowers the level or ends; where a quantity does not rise steadily with the level (a harmonic
    // near resonance) a second pass may be needed.
    for (int pass = 0; pass < 8; ++pass) {
        double lowest = level;
        for (const Bound& b : bounds) {
            const double value = b.quantity(now);
            if (!(value > b.allowed * (1 + 1e-12))) continue;
            const double meets = drive.meeting(b.quantity, b.allowed, level, value);
            if (meets < lowest) {
                lowest = meets;
                reason = b.limit;
            }
        }
        if (lowest == level) break;
        level = lowest;
        now = drive.at(level, false);
    }
    if (with_harmonics) now = drive.at(level, true);
    now.limited_by = reason;
    return now;
}

}  // namespace ampturn::model::transmitter
