#include "model/transmitter/thermal.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "model/base/root.hpp"

namespace ampturn::model::transmitter {

namespace {

// dT/dt = M T + g in the order winding, electronics.
struct Linear {
    double ww, we, ew, ee;  // M
    double gw, ge;
    double high, low;  // eigenvalues
};

Linear linear(const ThermalNodes& n, const HeatInput& q, double ambient_c) {
    const double i2 = q.rms_a * q.rms_a;
    const double link = 1 / n.winding_electronics_k_per_w;
    Linear m{};
    m.ww = (i2 * q.winding_r20_ohm * q.winding_alpha20_per_k - 1 / n.winding_ambient_k_per_w - link) /
           n.winding_j_per_k;
    m.ee = (i2 * q.bridge_r25_ohm * q.bridge_beta25_per_k - 1 / n.electronics_ambient_k_per_w - link) /
           n.electronics_j_per_k;
    m.we = link / n.winding_j_per_k;
    m.ew = link / n.electronics_j_per_k;
    m.gw = (i2 * q.winding_r20_ohm * (1 - 20 * q.winding_alpha20_per_k) + q.winding_fixed_w +
            ambient_c / n.winding_ambient_k_per_w) /
           n.winding_j_per_k;
    m.ge = (i2 * q.bridge_r25_ohm * (1 - 25 * q.bridge_beta25_per_k) + q.electronics_fixed_w +
            ambient_c / n.electronics_ambient_k_per_w) /
           n.electronics_j_per_k;
    // The product m.we m.ew is never negative, so the eigenvalues are real.
    const double mean = (m.ww + m.ee) / 2;
    const double spread = std::hypot((m.ww - m.ee) / 2, std::sqrt(m.we * m.ew));
    m.high = mean + spread;
    m.low = mean - spread;
    return m;
}

double phi1(double z) { return std::abs(z) < 1e-12 ? 1 + z / 2 : std::expm1(z) / z; }

// f(M t) applied to (M T0 + g), f given at t times the eigenvalues.
template <class F>
Temperatures applied(const Linear& m, const F& f, Temperatures start, double dt_s) {
    const double rw = m.ww * start.winding_c + m.we * start.electronics_c + m.gw;
    const double re = m.ew * start.winding_c + m.ee * start.electronics_c + m.ge;
    const double f_high = f(m.high * dt_s);
    const double f_low = f(m.low * dt_s);
    const double mean = (m.high + m.low) / 2;
    const double gap = m.high - m.low;
    double slope = 0;
    if (gap * dt_s > 1e-6) {
        slope = (f_high - f_low) / gap;
    } else {
        const double h = 1e-4;
        slope = dt_s * (f(mean * dt_s + h) - f(mean * dt_s - h)) / (2 * h);
    }
    const double mid = (f_high + f_low) / 2;
    return {mid * rw + slope * ((m.ww - mean) * rw + m.we * re),
            mid * re + slope * (m.ew * rw + (m.ee - mean) * re)};
}

Temperatures moved(const Linear& m, Temperatures start, double dt_s) {
    const Temperatures d = applied(m, phi1, start, dt_s);
    return {start.winding_c + dt_s * d.winding_c, start.electronics_c + dt_s * d.electronics_c};
}

double of(HeatNode node, const Temperatures& t) {
    return node == HeatNode::winding ? t.winding_c : t.electronics_c;
}

}  // namespace

Temperatures after_heating(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                           Temperatures start, double dt_s) {
    return moved(linear(nodes, heat, ambient_c), start, dt_s);
}

std::optional<Temperatures> steady_temperatures(const ThermalNodes& nodes, const HeatInput& heat,
                                                double ambient_c) {
    const Linear m = linear(nodes, heat, ambient_c);
    if (m.high >= 0) return std::nullopt;
    const double det = m.high * m.low;
    return Temperatures{(-m.gw * m.ee + m.we * m.ge) / det, (-m.ge * m.ww + m.ew * m.gw) / det};
}

std::optional<double> time_to_limit_s(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                                      Temperatures start, HeatNode node, double limit_c, double horizon_s) {
    if (of(node, start) >= limit_c) return 0.0;
    const Linear m = linear(nodes, heat, ambient_c);
    const auto excess = [&](double t) { return of(node, moved(m, start, t)) - limit_c; };
    // A constant and two exponentials turn round at most once; split there.
    const auto slope = [&](double t) {
        const Temperatures now = moved(m, start, t);
        return node == HeatNode::winding ? m.ww * now.winding_c + m.we * now.electronics_c + m.gw
                                         : m.ew * now.winding_c + m.ee * now.electronics_c + m.ge;
    };
    double turn = horizon_s;
    const double slope_start = slope(0);
    const double slope_end = slope(horizon_s);
    if (slope_start * slope_end < 0)
        turn = bracketed_root(slope, 0.0, horizon_s, slope_start, slope_end, 1e-9 * horizon_s);
    double from = 0;
    double from_excess = excess(0);
    for (const double to : {turn, horizon_s}) {
        const double to_excess = excess(to);
        if (to_excess >= 0) return bracketed_root(excess, from, to, from_excess, to_excess, 1e-9);
        from = to;
        from_excess = to_excess;
    }
    return std::nullopt;
}

double runaway_current_a(const ThermalNodes& n, const HeatInput& heat) {
    // With y = I^2 the determinant of M vanishes: (r1 y - d1)(r2 y - d2) = link^2, smaller root.
    const double link = 1 / n.winding_electronics_k_per_w;
    const double r1 = heat.winding_r20_ohm * heat.winding_alpha20_per_k;
    const double r2 = heat.bridge_r25_ohm * heat.bridge_beta25_per_k;
    const double d1 = 1 / n.winding_ambient_k_per_w + link;
    const double d2 = 1 / n.electronics_ambient_k_per_w + link;
    const double c = d1 * d2 - link * link;
    const double b = r1 * d2 + r2 * d1;
    const double y = 2 * c / (b + std::sqrt(std::max(0.0, b * b - 4 * r1 * r2 * c)));
    return std::sqrt(y);
}

std::optional<Temperatures> periodic_temperatures(const ThermalNodes& nodes, const HeatInput& heat,
                                                  double ambient_c, std::span<const HeatSegment> pattern) {
    // One period is an affine map; its columns from three starts.
    const auto once = [&](Temperatures t) {
        for (const HeatSegment& s : pattern) {
            HeatInput q = heat;
            q.rms_a = s.rms_a;
            t = moved(linear(nodes, q, ambient_c), t, s.duration_s);
        }
        return t;
    };
    const Temperatures zero = once({ambient_c, ambient_c});
    const Temperatures w = once({ambient_c + 1, ambient_c});
    const Temperatures e = once({ambient_c, ambient_c + 1});
    const double ww = w.winding_c - zero.winding_c, ew = w.electronics_c - zero.electronics_c;
    const double we = e.winding_c - zero.winding_c, ee = e.electronics_c - zero.electronics_c;
    const double spectral = (ww + ee) / 2 + std::sqrt((ww - ee) * (ww - ee) / 4 + we * ew);
    if (spectral >= 1) return std::nullopt;
    const double bw = zero.winding_c - ambient_c, be = zero.electronics_c - ambient_c;
    const double det = (1 - ww) * (1 - ee) - we * ew;
    return Temperatures{ambient_c + (bw * (1 - ee) + we * be) / det,
                        ambient_c + (be * (1 - ww) + ew * bw) / det};
}

std::optional<double> duty_to_hold_limit(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                                         double winding_limit_c, double electronics_limit_c,
                                         double period_s) {
    // Largest excess at the end of the on-time, once periodic; runaway counts as far above.
    const auto excess = [&](double duty) {
        const HeatSegment pattern[] = {{duty * period_s, heat.rms_a}, {(1 - duty) * period_s, 0}};
        const auto start = periodic_temperatures(nodes, heat, ambient_c, pattern);
        if (!start) return 1e6;
        const Temperatures hot = after_heating(nodes, heat, ambient_c, *start, duty * period_s);
        return std::max({hot.winding_c - winding_limit_c, hot.electronics_c - electronics_limit_c,
                         start->electronics_c - electronics_limit_c});
    };
    const double resting = excess(0);
    if (resting > 0) return std::nullopt;
    const double always = excess(1);
    if (always <= 0) return 1.0;
    return bracketed_root(excess, 0.0, 1.0, resting, always, 1e-9);
}

}  // namespace ampturn::model::transmitter
