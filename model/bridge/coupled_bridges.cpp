#include "model/bridge/coupled_bridges.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "model/base/constants.hpp"

namespace ampturn::model::bridge {

namespace {

using Complex = std::complex<double>;
using Two = std::array<Complex, 2>;

// One bridge's voltage: +volts from `from_s` to `to_s`, negated half a period later, 0 elsewhere.
struct Pulse {
    double volts = 0, from_s = 0, to_s = 0;

    Complex harmonic_v(double frequency_hz, int n) const {
        if (volts == 0) return 0;
        return bridge_voltage_harmonic_v(volts, 2 * frequency_hz * (to_s - from_s), n) *
               std::polar(1.0, -pi * frequency_hz * n * (from_s + to_s));
    }
    // Its integral, of mean zero.
    double integral_vs(double frequency_hz, double t) const {
        const double half = 0.5 / frequency_hz, width = to_s - from_s;
        const double since = (t - from_s) / half;
        const double halves = std::floor(since);
        const double into = (since - halves) * half;
        const double value = volts * (std::min(into, width) - width / 2);
        return std::fmod(halves, 2.0) == 0 ? value : -value;
    }
};

// Harmonics whose sum leaves 1e-5, more where a load rings far above the drive.
int harmonics_of(const CoupledBridges& b) {
    double highest = 1;
    for (const BridgeLoad& load : b.load)
        if (load.capacitance_f != no_capacitor)
            highest = std::max(
                highest, 1 / (2 * pi * std::sqrt(load.inductance_h * load.capacitance_f)) / b.frequency_hz);
    return 40 + static_cast<int>(std::min(2000.0, 10 * highest));
}

class Solution {
  public:
    Solution(const CoupledBridges& b, const std::array<Pulse, 2>& pulse)
        : b_(b), pulse_(pulse), omega_(2 * pi * b.frequency_hz) {
        const double l1 = b.load[0].inductance_h, l2 = b.load[1].inductance_h, m = b.mutual_h;
        const double determinant = l1 * l2 - m * m;
        inverse_ = {{{l2 / determinant, -m / determinant}, {-m / determinant, l1 / determinant}}};
        const auto count = static_cast<std::size_t>(harmonics_of(b));
        harmonics_.reserve(count);
        for (std::size_t slot = 0; slot < count; ++slot) {
            const int n = 2 * static_cast<int>(slot) + 1;
            const Two volts{pulse[0].harmonic_v(b.frequency_hz, n), pulse[1].harmonic_v(b.frequency_hz, n)};
            Harmonic h;
            h.current = coupled_currents_a(b.load, b.mutual_h, n * b.frequency_hz, volts);
            const Complex integral = Complex(0, 1) * (n * omega_);
            for (std::size_t k = 0; k < 2; ++k)
                h.rest[k] = h.current[k] - (inverse_[k][0] * volts[0] + inverse_[k][1] * volts[1]) / integral;
            harmonics_.push_back(h);
        }
    }

    const Complex& current(std::size_t k, std::size_t slot) const { return harmonics_[slot].current[k]; }
    std::size_t slots() const { return harmonics_.size(); }

    double current_at(std::size_t k, double t) const {
        double out = inverse_[k][0] * pulse_[0].integral_vs(b_.frequency_hz, t) +
                     inverse_[k][1] * pulse_[1].integral_vs(b_.frequency_hz, t);
        sum(t, [&](const Harmonic& h, int, const Complex& turned) { out += (h.rest[k] * turned).real(); });
        return out;
    }
    double capacitor_at(std::size_t k, double t) const {
        double out = 0;
        sum(t, [&](const Harmonic& h, int n, const Complex& turned) {
            out += (h.current[k] * turned).imag() / (n * omega_ * b_.load[k].capacitance_f);
        });
        return out;
    }
    double rms_a(std::size_t k) const {
        double squares = 0;
        for (const Harmonic& h : harmonics_) squares += std::norm(h.current[k]) / 2;
        return std::sqrt(squares);
    }
    // Power that loop k takes from the other one's field.
    double taken_w(std::size_t k) const {
        double out = 0;
        int n = 1;
        for (const Harmonic& h : harmonics_) {
            const Complex induced = Complex(0, n * omega_ * b_.mutual_h) * h.current[1 - k];
            out += (induced * std::conj(h.current[k])).real() / 2;
            n += 2;
        }
        return -out;
    }

  private:
    struct Harmonic {
        Two current, rest;  // rest: beyond what the inductances alone would carry
    };
    template <class Term>
    void sum(double t, const Term& term) const {
        Complex turned = std::polar(1.0, omega_ * t);
        const Complex step = turned * turned;
        int n = 1;
        for (const Harmonic& h : harmonics_) {
            term(h, n, turned);
            turned *= step;
            n += 2;
        }
    }

    const CoupledBridges& b_;
    std::array<Pulse, 2> pulse_;
    double omega_;
    std::array<std::array<double, 2>, 2> inverse_;
    std::vector<Harmonic> harmonics_;
};

// The largest size over half a period, refined by a parabola; corners lie at the edges.
template <class At>
double largest(const At& at, double half_s, std::size_t points, const std::array<Pulse, 2>& pulses) {
    std::vector<double> v(points + 1);
    for (std::size_t i = 0; i <= points; ++i)
        v[i] = at(half_s * static_cast<double>(i) / static_cast<double>(points));
    double out = 0;
    for (std::size_t i = 0; i <= points; ++i) {
        out = std::max(out, std::abs(v[i]));
        if (i == 0 || i == points) continue;
        const double before = std::abs(v[i - 1]), here = std::abs(v[i]), after = std::abs(v[i + 1]);
        const double bent = before - 2 * here + after;
        if (here >= before && here >= after && bent < 0) {
            const double t = half_s * (static_cast<double>(i) + (before - after) / (2 * bent)) /
                             static_cast<double>(points);
            out = std::max(out, std::abs(at(t)));
        }
    }
    for (const Pulse& p : pulses)
        if (p.volts > 0) out = std::max({out, std::abs(at(p.from_s)), std::abs(at(p.to_s))});
    return out;
}

std::array<Pulse, 2> ideal_pulses(const CoupledBridges& b) {
    const double half = 0.5 / b.frequency_hz;
    std::array<Pulse, 2> out;
    for (std::size_t k = 0; k < 2; ++k) {
        const BridgeVoltage& v = b.voltage[k];
        const double on = v.duty * half;
        // As of one bridge: within the dead time of the other leg only diodes conduct.
        if (v.bus_v <= 0 || v.duty <= 0 || (v.dead_time_s > 0 && on <= v.dead_time_s)) continue;
        const double middle = k == 0 ? 0 : half / 2;
        out[k] = {v.bus_v, middle - on / 2, middle + on / 2};
    }
    return out;
}

// Share of the dead time after an edge in which the current, as a straight line, has the sign that holds the
// old state.
double blocked_share(double before, double after) {
    if (before <= 0 && after <= 0) return 0;
    if (before >= 0 && after >= 0) return 1;
    return before > 0 ? before / (before - after) : after / (after - before);
}

// Pulses with their edges as late as the currents make them.
std::array<Pulse, 2> late_pulses(const CoupledBridges& b) {
    const std::array<Pulse, 2> ideal = ideal_pulses(b);
    std::array<Pulse, 2> out = ideal;
    if (!(b.voltage[0].dead_time_s > 0 || b.voltage[1].dead_time_s > 0)) return out;
    std::array<std::array<double, 2>, 2> late_s{};
    for (int pass = 0; pass < 24; ++pass) {
        const Solution s(b, out);
        double moved = 0;
        for (std::size_t k = 0; k < 2; ++k) {
            const double dead = b.voltage[k].dead_time_s;
            if (ideal[k].volts == 0 || dead == 0) continue;
            const double up = dead * blocked_share(s.current_at(k, ideal[k].from_s),
                                                   s.current_at(k, ideal[k].from_s + dead));
            const double down =
                dead * blocked_share(-s.current_at(k, ideal[k].to_s), -s.current_at(k, ideal[k].to_s + dead));
            moved =
                std::max({moved, std::abs(up - late_s[k][0]) / dead, std::abs(down - late_s[k][1]) / dead});
            const double taken = pass == 0 ? 1 : 0.5;
            late_s[k][0] += taken * (up - late_s[k][0]);
            late_s[k][1] += taken * (down - late_s[k][1]);
            const double half = 0.5 / b.frequency_hz;
            out[k].from_s = ideal[k].from_s + late_s[k][0];
            // A full square wave turns at once: both its edges are one.
            out[k].to_s = b.voltage[k].duty >= 1
                              ? out[k].from_s + half
                              : std::min(ideal[k].to_s + late_s[k][1], out[k].from_s + half);
        }
        if (moved < 1e-6) break;
    }
    return out;
}

}  // namespace

std::array<Complex, 2> coupled_currents_a(const std::array<BridgeLoad, 2>& load, double mutual_h,
                                          double frequency_hz, const std::array<Complex, 2>& volts) {
    const double omega = 2 * pi * frequency_hz;
    Two z;
    for (std::size_t k = 0; k < 2; ++k)
        z[k] = {load[k].resistance_ohm, omega * load[k].inductance_h - 1 / (omega * load[k].capacitance_f)};
    const Complex mutual(0, omega * mutual_h);
    const Complex determinant = z[0] * z[1] - mutual * mutual;
    return {(z[1] * volts[0] - mutual * volts[1]) / determinant,
            (z[0] * volts[1] - mutual * volts[0]) / determinant};
}

std::array<BridgeCurrent, 2> coupled_steady_state(const CoupledBridges& b, bool with_harmonics) {
    std::array<BridgeCurrent, 2> out;
    const std::array<Pulse, 2> pulses = late_pulses(b);
    if (pulses[0].volts == 0 && pulses[1].volts == 0) return out;
    const Solution s(b, pulses);
    const double half = 0.5 / b.frequency_hz;
    const std::size_t points = std::max<std::size_t>(120, 3 * s.slots());
    for (std::size_t k = 0; k < 2; ++k) {
        BridgeCurrent& c = out[k];
        c.fundamental_peak_a = std::abs(s.current(k, 0));
        const Complex own = pulses[k].volts > 0 ? pulses[k].harmonic_v(b.frequency_hz, 1)
                                                : pulses[1 - k].harmonic_v(b.frequency_hz, 1);
        c.fundamental_phase_rad = std::arg(s.current(k, 0) / own);
        c.rms_a = s.rms_a(k);
        c.mean_power_w = b.load[k].resistance_ohm * c.rms_a * c.rms_a - s.taken_w(k);
        c.peak_a = largest([&](double t) { return s.current_at(k, t); }, half, points, pulses);
        if (b.load[k].capacitance_f != no_capacitor)
            c.capacitor_peak_v =
                largest([&](double t) { return s.capacitor_at(k, t); }, half, points, pulses);
        if (pulses[k].volts > 0) {
            c.rising_edge_a = s.current_at(k, pulses[k].from_s);
            c.falling_edge_a = s.current_at(k, pulses[k].to_s);
            c.diode_time_s = b.voltage[k].dead_time_s;
        }
        if (with_harmonics)
            for (std::size_t slot = 0; slot < c.harmonic_peak_a.size(); ++slot)
                c.harmonic_peak_a[slot] = std::abs(s.current(k, slot));
    }
    return out;
}

}  // namespace ampturn::model::bridge
