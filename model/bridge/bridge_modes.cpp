#include "model/bridge/bridge_modes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>

#include "model/base/constants.hpp"

// Between two edges the current is a constant plus the load's natural modes. Each mode k has a rate s_k and,
// at every edge, jumps by a known J_k; half-wave antisymmetry then gives its amplitude in one line:
//
//     a_k = -J_k (1 + e^{s_k off})/(1 + e^{s_k half}).
//
// R-L has one real mode, overdamped R-L-C two, underdamped R-L-C one complex
// amplitude whose real part is the current.
namespace ampturn::model::bridge {

namespace {

using Complex = std::complex<double>;

// Gauss-Legendre, 12 nodes on [0, 1] (half listed; symmetric). Integrates i^2 over a stretch in which the
// modes turn by up to 3 rad to 1e-15, where the closed form of the integral would cancel.
constexpr std::array<double, 6> gauss_node{0.125233408511468916, 0.367831498998180194, 0.587317954286617447,
                                           0.769902674194304687, 0.904117256370474857, 0.981560634246719251};
constexpr std::array<double, 6> gauss_weight{0.249147045813402785, 0.233492536538354809,
                                             0.203167426723065922, 0.160078328543346226,
                                             0.106939325995318431, 0.047175336386511827};
constexpr double gauss_reach = 3.0;
// Five nodes do for stretches of up to 0.3 rad.
constexpr std::array<double, 2> short_node{0.538469310105683091, 0.906179845938663993};
constexpr std::array<double, 3> short_weight{0.568888888888888889, 0.478628670499366468,
                                             0.236926885056189088};
constexpr double short_reach = 0.3;

// pair(d): the sum of i^2 at d before and d after the middle of the span.
template <class Pair>
double squares_by_pairs(const Pair& pair, double span_s, double turned) {
    const double half = span_s / 2;
    double sum = 0;
    if (turned <= short_reach) {
        sum = short_weight[0] * pair(0.0) / 2;
        for (std::size_t i = 0; i < short_node.size(); ++i)
            sum += short_weight[i + 1] * pair(half * short_node[i]);
        return sum * half;
    }
    for (std::size_t i = 0; i < gauss_node.size(); ++i) sum += gauss_weight[i] * pair(half * gauss_node[i]);
    return sum * half;
}
template <class Current>
double squares_by_gauss(const Current& current, double span_s, double turned) {
    const auto pair = [&](double d) {
        const double a = current(span_s / 2 + d), b = current(span_s / 2 - d);
        return a * a + b * b;
    };
    return squares_by_pairs(pair, span_s, turned);
}

// Near critical damping the amplitudes are large and nearly cancel, which the closed form of the integral
// squares; there the current is integrated in panels, as far as it has not died away.
template <class Current>
double squares_near_critical(const Current& current, double span_s, double alpha) {
    const double end = std::min(span_s, 40 / alpha);
    const int panels = 1 + static_cast<int>(alpha * end / gauss_reach);
    const double width = end / panels;
    double sum = 0;
    for (int p = 0; p < panels; ++p)
        sum += squares_by_gauss([&](double t) { return current(p * width + t); }, width, gauss_reach);
    return sum;
}
constexpr double near_critical = 0.05;  // beta or gamma against alpha

void solve_rl(const BridgeLoad& load, const BridgeVoltage& v, BridgeCurrent& out) {
    const double half = 0.5 / v.frequency_hz;
    const double rate = load.resistance_ohm / load.inductance_h;
    const double settled = v.bus_v / load.resistance_ohm;
    const double on = v.duty * half;
    const double off = half - on;
    // Without cancellation: i0 = -I e^{-off}(1 - e^{-on})/(1 + e^{-half}).
    out.falling_edge_a = -settled * std::expm1(-rate * on) / (1 + std::exp(-rate * half));
    out.rising_edge_a = -out.falling_edge_a * std::exp(-rate * off);
    out.peak_a = out.falling_edge_a;
    const double squares = mode_squares(rate, out.rising_edge_a, settled, on) +
                           (off > 0 ? mode_squares(rate, out.falling_edge_a, 0, off) : 0.0);
    out.rms_a = std::sqrt(squares / half);
}

// 1 + e^{s half} where beta*half may be near an odd multiple of pi and the damping weak.
Complex one_plus_exp(double minus_alpha_half, double beta_half) {
    const double turns = std::round((beta_half / pi - 1) / 2) * 2 + 1;
    const double angle = beta_half - turns * pi;
    const double e = std::expm1(minus_alpha_half);
    const double s = std::sin(angle / 2);
    return {-(e * std::cos(angle) - 2 * s * s), -(1 + e) * std::sin(angle)};
}

struct Underdamped {
    const BridgeLoad& load;
    double alpha, beta;

    Complex at(Complex z, double t) const { return z * std::polar(std::exp(-alpha * t), beta * t); }
    // Capacitor voltage above the piece's level: -(R i + L di/dt).
    double above_level(Complex z) const {
        return -(load.resistance_ohm - alpha * load.inductance_h) * z.real() +
               beta * load.inductance_h * z.imag();
    }
    void extremes(Complex z, double span, double level, BridgeCurrent& out) const {
        // The current turns where the angle of z e^{st} is -atan(alpha/beta), and is zero where it is a right
        // angle; of each, later ones are smaller by e^{-alpha pi/beta}: one of the current, two of the voltage.
        const double size = std::sqrt(std::norm(z)), angle = std::atan2(z.imag(), z.real());
        const double peak_at = first_time(-std::atan(alpha / beta) - angle);
        if (peak_at < span)
            out.peak_a = std::max(out.peak_a, size * std::exp(-alpha * peak_at) * beta /
                                                  std::sqrt(alpha * alpha + beta * beta));
        const double zero_at = first_time(pi / 2 - angle);
        if (zero_at >= span) return;
        // There the whole of z e^{st} is imaginary: half a turn later of the other sign.
        const bool odd = std::fmod(std::round((angle + beta * zero_at - pi / 2) / pi), 2) != 0;
        const double swing = (odd ? -1 : 1) * beta * load.inductance_h * size * std::exp(-alpha * zero_at);
        out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(level + swing));
        if (zero_at + pi / beta < span)
            out.capacitor_peak_v =
                std::max(out.capacitor_peak_v, std::abs(level - swing * std::exp(-alpha * pi / beta)));
    }
    double first_time(double angle) const { return (angle - pi * std::floor(angle / pi)) / beta; }
    double squares(Complex z, double span) const {
        const double turned = std::hypot(alpha, beta) * span;
        if (turned <= gauss_reach) {
            const Complex middle = at(z, span / 2);
            // One exponential and one angle serve both sides of the middle.
            const auto pair = [&](double d) {
                const double fallen = std::exp(-alpha * d);
                const double even = middle.real() * std::cos(beta * d);
                const double odd = middle.imag() * std::sin(beta * d);
                const double after = fallen * (even - odd), before = (even + odd) / fallen;
                return before * before + after * after;
            };
            return squares_by_pairs(pair, span, turned);
        }
        if (beta < near_critical * alpha)
            return squares_near_critical([&](double t) { return at(z, t).real(); }, span, alpha);
        const Complex s(-alpha, beta);
        const Complex grown = z * z * (std::polar(std::exp(-2 * alpha * span), 2 * beta * span) - 1.0);
        return -std::norm(z) * std::expm1(-2 * alpha * span) / (4 * alpha) + (grown / (4.0 * s)).real();
    }
};

EdgeVoltages solve_underdamped(const BridgeLoad& load, const BridgeVoltage& v, double alpha, double beta,
                               BridgeCurrent& out) {
    const Underdamped m{load, alpha, beta};
    const double half = 0.5 / v.frequency_hz;
    const double on = v.duty * half;
    const double off = half - on;
    const Complex jump(0, v.bus_v / (beta * load.inductance_h));
    const Complex start = -jump * (1.0 + m.at(1.0, off)) / one_plus_exp(-alpha * half, beta * half);
    const Complex before_fall = m.at(start, on);
    const Complex after_fall = before_fall + jump;
    out.rising_edge_a = start.real();
    out.falling_edge_a = before_fall.real();
    out.peak_a = std::max(std::abs(out.rising_edge_a), std::abs(out.falling_edge_a));
    const EdgeVoltages edges{v.bus_v + m.above_level(start), m.above_level(after_fall)};
    out.capacitor_peak_v = std::max(std::abs(edges.rising_v), std::abs(edges.falling_v));
    m.extremes(start, on, v.bus_v, out);
    if (off > 0) m.extremes(after_fall, off, 0, out);
    // Over a half period coil and capacitor give back what they took, so R times the integral of i^2 is the
    // bus voltage times the charge that flows while it is on. Where that charge is a small difference (a
    // reactive load) the square is integrated itself.
    const Complex rate(-alpha, beta);
    const double charge = ((before_fall - start) / rate).real();
    const double squares = charge * std::abs(rate) > 0.01 * (std::abs(start) + std::abs(before_fall))
                               ? v.bus_v * charge / load.resistance_ohm
                               : m.squares(start, on) + (off > 0 ? m.squares(after_fall, off) : 0.0);
    out.rms_a = std::sqrt(squares / half);
    return edges;
}

struct TwoReal {
    double rate1, rate2;  // negative, rate2 faster
    double a1 = 0, a2 = 0;
    double current(double t) const { return a1 * std::exp(rate1 * t) + a2 * std::exp(rate2 * t); }
    TwoReal later(double t) const {
        return {rate1, rate2, a1 * std::exp(rate1 * t), a2 * std::exp(rate2 * t)};
    }
    double above_level(const BridgeLoad& load, double t) const {
        return -(load.resistance_ohm + rate1 * load.inductance_h) * a1 * std::exp(rate1 * t) -
               (load.resistance_ohm + rate2 * load.inductance_h) * a2 * std::exp(rate2 * t);
    }
    void extremes(const BridgeLoad& load, double span, double level, BridgeCurrent& out) const {
        const double turn = -(a1 * rate1) / (a2 * rate2);
        if (turn > 0) {
            const double t = std::log(turn) / (rate2 - rate1);
            if (t > 0 && t < span) out.peak_a = std::max(out.peak_a, std::abs(current(t)));
        }
        const double zero = -a1 / a2;
        if (zero > 0) {
            const double t = std::log(zero) / (rate2 - rate1);
            if (t > 0 && t < span)
                out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(level + above_level(load, t)));
        }
    }
    double squares(double span) const {
        if (-rate2 * span <= gauss_reach)
            return squares_by_gauss([this](double t) { return current(t); }, span, -rate2 * span);
        const double alpha = -(rate1 + rate2) / 2;
        if (rate1 - rate2 < 2 * near_critical * alpha)
            return squares_near_critical([this](double t) { return current(t); }, span, alpha);
        const auto integral = [span](double rate) { return std::expm1(rate * span) / rate; };
        return a1 * a1 * integral(2 * rate1) + a2 * a2 * integral(2 * rate2) +
               2 * a1 * a2 * integral(rate1 + rate2);
    }
};

// product: of the two rates, 1/LC.
EdgeVoltages solve_overdamped(const BridgeLoad& load, const BridgeVoltage& v, double alpha, double gamma,
                              double product, BridgeCurrent& out) {
    const double half = 0.5 / v.frequency_hz;
    const double on = v.duty * half;
    const double off = half - on;
    const double rate2 = -(alpha + gamma);
    const double rate1 = product / rate2;
    const double jump = v.bus_v / ((rate1 - rate2) * load.inductance_h);
    const auto start_of = [&](double rate, double j) {
        return -j * (1 + std::exp(rate * off)) / (1 + std::exp(rate * half));
    };
    const TwoReal start{rate1, rate2, start_of(rate1, -jump), start_of(rate2, jump)};
    TwoReal after = start.later(on);
    out.rising_edge_a = start.current(0);
    out.falling_edge_a = start.current(on);
    after.a1 -= jump;
    after.a2 += jump;
    out.peak_a = std::max(std::abs(out.rising_edge_a), std::abs(out.falling_edge_a));
    const EdgeVoltages edges{v.bus_v + start.above_level(load, 0), after.above_level(load, 0)};
    out.capacitor_peak_v = std::max(std::abs(edges.rising_v), std::abs(edges.falling_v));
    start.extremes(load, on, v.bus_v, out);
    double squares = start.squares(on);
    if (off > 0) {
        after.extremes(load, off, 0, out);
        squares += after.squares(off);
    }
    out.rms_a = std::sqrt(squares / half);
    return edges;
}

}  // namespace

double mode_squares(double rate_per_s, double start_a, double settled_a, double span_s) {
    const double x = rate_per_s * span_s;
    if (x <= gauss_reach)
        return squares_by_gauss(
            [=](double t) {
                const double fallen = std::expm1(-rate_per_s * t);
                return start_a * (1 + fallen) - settled_a * fallen;
            },
            span_s, x);
    const double away = start_a - settled_a;
    return settled_a * settled_a * span_s - 2 * settled_a * away * std::expm1(-x) / rate_per_s -
           away * away * std::expm1(-2 * x) / (2 * rate_per_s);
}

double integral_of_square(const std::function<double(double)>& current_at_s, double span_s,
                          double fastest_rad_per_s) {
    const int panels = 1 + static_cast<int>(fastest_rad_per_s * span_s / gauss_reach);
    const double width = span_s / panels;
    double sum = 0;
    for (int p = 0; p < panels; ++p)
        sum += squares_by_gauss([&](double t) { return current_at_s(p * width + t); }, width, gauss_reach);
    return sum;
}

EdgeVoltages solve_modes(const BridgeLoad& load, const BridgeVoltage& v, BridgeCurrent& out) {
    if (load.capacitance_f == no_capacitor) {
        solve_rl(load, v, out);
        return {};
    }
    const double alpha = load.resistance_ohm / (2 * load.inductance_h);
    const double omega0_squared = 1 / (load.inductance_h * load.capacitance_f);
    const double beta_squared = omega0_squared - alpha * alpha;
    // At critical damping the two modes are one and their amplitudes infinite. The current is smooth in
    // beta^2, so near it two solutions a little to either side are joined by a straight line.
    const double aside = 1e-7 * omega0_squared;
    if (std::abs(beta_squared) < aside) {
        BridgeCurrent over, under;
        const EdgeVoltages over_v =
            solve_overdamped(load, v, alpha, std::sqrt(aside), alpha * alpha - aside, over);
        const EdgeVoltages under_v = solve_underdamped(load, v, alpha, std::sqrt(aside), under);
        const double share = (beta_squared + aside) / (2 * aside);
        const auto joined = [&](double BridgeCurrent::*field) {
            out.*field = over.*field + share * (under.*field - over.*field);
        };
        joined(&BridgeCurrent::rms_a);
        joined(&BridgeCurrent::peak_a);
        joined(&BridgeCurrent::rising_edge_a);
        joined(&BridgeCurrent::falling_edge_a);
        joined(&BridgeCurrent::capacitor_peak_v);
        return {over_v.rising_v + share * (under_v.rising_v - over_v.rising_v),
                over_v.falling_v + share * (under_v.falling_v - over_v.falling_v)};
    }
    if (beta_squared > 0) return solve_underdamped(load, v, alpha, std::sqrt(beta_squared), out);
    return solve_overdamped(load, v, alpha, std::sqrt(-beta_squared), omega0_squared, out);
}

}  // namespace ampturn::model::bridge
