#pragma once

#include <cmath>

namespace ampturn::model {

/// Root of a continuous function between low and high, where its values have opposite signs (or one is zero):
/// secant steps inside a bracket that is halved whenever three steps have not done so (Illinois rule plus
/// bisection). Stops when the bracket is narrower than tolerance, or at 200 steps; returns the better end.
/// Deterministic; the caller has checked the signs.
template <class Function>
double bracketed_root(Function&& f, double low, double high, double f_low, double f_high, double tolerance) {
    if (f_low == 0) return low;
    if (f_high == 0) return high;
    double a = low, b = high, fa = f_low, fb = f_high;
    double width_before = std::abs(b - a);
    for (int step = 0; step < 200 && std::abs(b - a) > tolerance; ++step) {
        double x = a + (b - a) * (fa / (fa - fb));
        if (step % 3 == 2) {
            if (std::abs(b - a) > width_before / 2) x = a + (b - a) / 2;
            width_before = std::abs(b - a);
        }
        // Step a little past the secant's root, so that both ends close in.
        const double lean = 0.5 * tolerance;
        const double inner_low = std::fmin(a, b), inner_high = std::fmax(a, b);
        if (x - inner_low < lean) x = inner_low + lean;
        if (inner_high - x < lean) x = inner_high - lean;
        if (x <= inner_low || x >= inner_high) x = a + (b - a) / 2;
        if (x == a || x == b) break;
        const double fx = f(x);
        if (fx == 0) return x;
        if ((fx < 0) == (fa < 0)) {
            a = x;
            fa = fx;
            fb *= 0.5;  // Illinois: keeps the far end moving
        } else {
            b = a;
            fb = fa;
            a = x;
            fa = fx;
        }
    }
    return std::abs(fa) <= std::abs(fb) ? a : b;
}

}  // namespace ampturn::model
