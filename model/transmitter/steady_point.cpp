#include "model/transmitter/steady_point.hpp"

#include <cmath>

#include "model/base/root.hpp"
#include "model/transmitter/heat_of.hpp"

namespace ampturn::model::transmitter {

SteadyPoint steady_operating_point(const Transmitter& transmitter, Conditions at, const DriveRequest& request,
                                   double ambient_c) {
    SteadyPoint out;
    const loop::LoopSelection winding =
        request.loop == loop::LoopSelection::b ? loop::LoopSelection::b : loop::LoopSelection::a;
    // Where the winding would settle with the current it has at winding_c; the switches' temperature, of
    // small effect, is brought into agreement on the way.
    const auto settles_at = [&](double winding_c) -> std::optional<Temperatures> {
        at.winding_c = {winding_c, winding_c};
        at.electronics_c = ambient_c;
        std::optional<Temperatures> t;
        for (int pass = 0; pass < 30; ++pass) {
            out.point = solve_operating_point(transmitter, at, request, false);
            if (!out.point.solved) return std::nullopt;
            // Of two loops the hotter one.
            const bool b_hotter = request.loop == loop::LoopSelection::both &&
                                  out.point.current_b.rms_a > out.point.current.rms_a;
            t = steady_temperatures(
                transmitter.design.thermal,
                heat_of(transmitter, request, out.point, b_hotter ? loop::LoopSelection::b : winding),
                ambient_c);
            if (!t || std::abs(t->electronics_c - at.electronics_c) < 1e-9) break;
            at.electronics_c = std::fmin(t->electronics_c, hottest_c);
        }
        return t;
    };
    const auto excess = [&](double winding_c) {
        const auto t = settles_at(winding_c);
        return t ? winding_c - t->winding_c : winding_c - 2 * hottest_c;
    };
    const double cold = excess(ambient_c);
    if (!out.point.solved) return out;
    const double hot = excess(hottest_c);
    if (hot < 0) return out;
    const double winding_c = bracketed_root(excess, ambient_c, hottest_c, std::fmin(cold, 0.0), hot, 1e-9);
    if (const auto t = settles_at(winding_c)) {
        out.settled = true;
        out.temperatures = {winding_c, t->electronics_c};
    }
    out.point = solve_operating_point(transmitter, at, request);
    return out;
}

}  // namespace ampturn::model::transmitter
