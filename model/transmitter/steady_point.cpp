#include "model/transmitter/steady_point.hpp"

#include <cmath>

#include "model/base/root.hpp"

namespace ampturn::model {

HeatInput heat_of(const Rig& rig, const DriveRequest& request, const OperatingPoint& point) {
    const LoopTap& tap = selected_tap(rig, request);
    return {.rms_a = point.current.rms_a,
            .winding_r20_ohm = tap.resistance_dc_20c_ohm * point.winding_ratio,
            .winding_alpha20_per_k = tap.wire.alpha20_per_k,
            .bridge_r25_ohm = 2 * rig.design.driver.rds_on_25c_ohm,
            .bridge_beta25_per_k = rig.design.driver.rds_on_beta_per_k,
            .electronics_fixed_w = point.power.fixed_w + point.power.switching_w + point.power.converter_w};
}

SteadyPoint steady_operating_point(const Rig& rig, Conditions at, const DriveRequest& request,
                                   double ambient_c) {
    SteadyPoint out;
    // Where the winding would settle with the current it has at winding_c; the switches' temperature, of
    // small effect, is brought into agreement on the way.
    const auto settles_at = [&](double winding_c) -> std::optional<Temperatures> {
        at.winding_c = {winding_c, winding_c};
        at.electronics_c = ambient_c;
        std::optional<Temperatures> t;
        for (int pass = 0; pass < 30; ++pass) {
            out.point = solve_operating_point(rig, at, request, false);
            if (!out.point.solved) return std::nullopt;
            t = steady_temperatures(rig.design.thermal, heat_of(rig, request, out.point), ambient_c);
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
    out.point = solve_operating_point(rig, at, request);
    return out;
}

}  // namespace ampturn::model
