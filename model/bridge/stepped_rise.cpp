#include "model/bridge/stepped_rise.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::model::bridge {

namespace {

constexpr double settled_nepers = 9.2103;  // to a ten-thousandth

/// The load's state while its voltage is held: e^{-alpha t} (cosh, sinh or cos, sin) closed forms.
class HeldLoad {
  public:
    explicit HeldLoad(const BridgeLoad& load)
        : load_(load),
          capacitor_(load.capacitance_f != no_capacitor),
          alpha_(load.resistance_ohm / (capacitor_ ? 2 * load.inductance_h : load.inductance_h)),
          square_(capacitor_ ? alpha_ * alpha_ - 1 / (load.inductance_h * load.capacitance_f) : 0) {}

    /// Of what is left of a start.
    double slowest_per_s() const { return square_ > 0 ? alpha_ - std::sqrt(square_) : alpha_; }

    /// Moves by span_s under `volts`; the largest on the way into `peaks`.
    void hold(double volts, double span_s, RisePeaks& peaks) {
        if (span_s <= 0) return;
        if (capacitor_) {
            // i and its slope turn with the same modes; so do v and i. The two first turns of each are the largest.
            const double slope = (volts - load_.resistance_ohm * state_.a - state_.v) / load_.inductance_h;
            const double slope_change =
                -(load_.resistance_ohm * slope + state_.a / load_.capacitance_f) / load_.inductance_h;
            note_turns(volts, span_s, turn_s(slope, slope_change), peaks);
            note_turns(volts, span_s, turn_s(state_.a, slope), peaks);
        }
        state_ = after(volts, span_s);
        note(state_, peaks);
    }

  private:
    struct State {
        double a, v;
    };

    static void note(const State& s, RisePeaks& peaks) {
        peaks.peak_a = std::max(peaks.peak_a, std::abs(s.a));
        peaks.capacitor_peak_v = std::max(peaks.capacitor_peak_v, std::abs(s.v));
    }

    /// Time after which g = e^{-alpha t} (g0 c + (g0' + alpha g0) s) is first zero, c and s cosine and sine over their rate;
    /// infinite when never.
    double turn_s(double g, double slope) const {
        const double b = slope + alpha_ * g;
        if (square_ < 0) {
            const double omega = std::sqrt(-square_);
            double angle = std::atan2(-g * omega, b);
            if (angle <= 0) angle += pi;
            return angle / omega;
        }
        // tanh(gamma t)/gamma = -g/b
        const double ratio = -g / b, gamma = std::sqrt(square_);
        if (!(ratio > 0)) return HUGE_VAL;
        if (gamma == 0) return ratio;
        return gamma * ratio < 1 ? std::atanh(gamma * ratio) / gamma : HUGE_VAL;
    }

    void note_turns(double volts, double span_s, double first_s, RisePeaks& peaks) const {
        const double again_s = square_ < 0 ? pi / std::sqrt(-square_) : HUGE_VAL;
        double t = first_s;
        for (int turn = 0; turn < 2 && t < span_s; ++turn, t += again_s) note(after(volts, t), peaks);
    }

    State after(double volts, double t) const {
        if (!capacitor_)
            return {state_.a + (volts / load_.resistance_ohm - state_.a) * -std::expm1(-alpha_ * t), 0};
        double c = 1, s = t;
        if (square_ < 0) {
            const double omega = std::sqrt(-square_);
            c = std::cos(omega * t), s = std::sin(omega * t) / omega;
        } else if (square_ > 0) {
            const double gamma = std::sqrt(square_);
            c = std::cosh(gamma * t), s = std::sinh(gamma * t) / gamma;
        }
        const double decay = std::exp(-alpha_ * t), u = state_.v - volts;
        return {decay * ((c - alpha_ * s) * state_.a - s / load_.inductance_h * u),
                volts + decay * (s / load_.capacitance_f * state_.a + (c + alpha_ * s) * u)};
    }

    BridgeLoad load_;
    bool capacitor_;
    double alpha_, square_;
    State state_{0, 0};
};

}  // namespace

RisePeaks rise_peaks(const BridgeLoad& load, const BridgeVoltage& drive, std::span<const RiseLevel> levels) {
    RisePeaks peaks;
    HeldLoad state(load);
    const double period_s = 1 / drive.frequency_hz;
    const int settled_cycles =
        static_cast<int>(std::ceil(std::min(settled_nepers / (state.slowest_per_s() * period_s), 1e6)));
    const auto follow = [&](double fraction, int cycles) {
        const double duty = 2 / pi * std::asin(fraction * std::sin(pi / 2 * drive.duty));
        const double half_on_s = duty * period_s / 4, off_s = period_s / 2 - 2 * half_on_s;
        for (int n = 0; n < std::min(cycles, settled_cycles); ++n) {
            state.hold(drive.bus_v, half_on_s, peaks);
            state.hold(0, off_s, peaks);
            state.hold(-drive.bus_v, 2 * half_on_s, peaks);
            state.hold(0, off_s, peaks);
            state.hold(drive.bus_v, half_on_s, peaks);
        }
    };
    for (const RiseLevel& level : levels) follow(level.fraction, level.cycles);
    follow(1, settled_cycles);
    return peaks;
}

}  // namespace ampturn::model::bridge
