#include "model/transmitter/heat_of.hpp"

#include <algorithm>
#include <utility>

namespace ampturn::model::transmitter {

HeatInput heat_of_tap(const Transmitter& transmitter, const loop::LoopTap& tap, double winding_ratio,
                      double electronics_fixed_w) {
    return {.rms_a = 0,
            .winding_r20_ohm = tap.resistance_dc_20c_ohm * winding_ratio,
            .winding_alpha20_per_k = tap.wire.alpha20_per_k,
            .bridge_r25_ohm = 2 * transmitter.design.driver.rds_on_25c_ohm,
            .bridge_beta25_per_k = transmitter.design.driver.rds_on_beta_per_k,
            .electronics_fixed_w = electronics_fixed_w};
}

HeatInput heat_of(const Transmitter& transmitter, const DriveRequest& request, const OperatingPoint& point,
                  loop::LoopSelection winding) {
    const bool both = request.loop == loop::LoopSelection::both;
    const bool second = both ? winding == loop::LoopSelection::b : !loop::feeds(request.loop, winding);
    const bridge::BridgeCurrent& beside = both ? point.current_b : point.idle;
    const bridge::BridgeCurrent &own = second ? beside : point.current,
                                &other = second ? point.current : beside;
    const auto& taps = transmitter.taps(winding);
    const loop::LoopTap& tap =
        taps.at(std::min(static_cast<std::size_t>(request.tap_index), taps.size() - 1));
    HeatInput heat = heat_of_tap(transmitter, tap, second ? point.other_winding_ratio : point.winding_ratio,
                                 point.power.fixed_w + point.power.switching_w + point.power.converter_w);
    heat.rms_a = own.rms_a;
    heat.electronics_fixed_w += other.rms_a * other.rms_a * heat.bridge_r25_ohm;
    return heat;
}

std::optional<double> time_to_heat_limit_s(const Transmitter& transmitter, const DriveRequest& request,
                                           const OperatingPoint& point, double air_c, double horizon_s) {
    const TransmitterLimits& limits = transmitter.design.limits;
    std::optional<double> first_s;
    for (const loop::LoopSelection loop : loop::each_loop) {
        if (!loop::feeds(request.loop, loop) && point.idle.rms_a == 0) continue;
        const HeatInput heat = heat_of(transmitter, request, point, loop);
        for (const auto& [node, limit_c] : {std::pair{HeatNode::winding, limits.winding_c},
                                            std::pair{HeatNode::electronics, limits.electronics_c}}) {
            const auto time_s = time_to_limit_s(transmitter.design.thermal, heat, air_c, {air_c, air_c}, node,
                                                limit_c, horizon_s);
            if (time_s && (!first_s || *time_s < *first_s)) first_s = time_s;
        }
    }
    return first_s;
}

}  // namespace ampturn::model::transmitter
