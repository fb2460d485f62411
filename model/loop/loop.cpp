#include "model/loop/loop.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::loop {

namespace {

constexpr double light_m_per_s = 299792458.0;
// Share of the speed of light on insulated wires lying side by side. Common practice, no source.
constexpr double bundle_velocity_factor = 0.65;

}  // namespace

double wire_gmr_m(double wire_radius_m, double internal_inductance_ratio) {
    return wire_radius_m * std::exp(-internal_inductance_ratio / 4);
}

double bundle_gmr_m(std::span<const TurnPosition> turns, double single_wire_gmr_m) {
    const auto n = static_cast<double>(turns.size());
    double sum = n * std::log(single_wire_gmr_m);
    for (std::size_t i = 0; i < turns.size(); ++i)
        for (std::size_t j = i + 1; j < turns.size(); ++j)
            sum += 2 * std::log(std::hypot(turns[i].outward_m - turns[j].outward_m,
                                           turns[i].along_normal_m - turns[j].along_normal_m));
    return std::exp(sum / (n * n));
}

double self_inductance_h(const LoopOutline& outline, double gmr_m) {
    if (outline.is_circle())
        return coaxial_circles_mutual_h(outline.circle_radius_m, outline.circle_radius_m, gmr_m);
    const LoopPoint n = outline.normal();
    std::vector<LoopPoint> copy = outline.vertices;
    for (LoopPoint& p : copy) {
        p.x_m += n.x_m * gmr_m;
        p.y_m += n.y_m * gmr_m;
        p.z_m += n.z_m * gmr_m;
    }
    return polygon_mutual_h(outline.vertices, copy);
}

LoopTap make_tap(const LoopDesign& design, int turns) {
    check_range(turns, "turns", 1, 2000);
    check_range(design.wire.area_m2, "wire.area_m2", more_than(0));
    check_range(design.wire.strands, "wire.strands", at_least(1));
    const double diameter_m = 2 * design.wire.radius_m();
    if (turns > 1 && !(design.pitch_m >= diameter_m * (1 - 1e-9)))
        throw RangeError("pitch_m", design.pitch_m, at_least(diameter_m), std::nullopt,
                         "the wire's diameter");
    check_range(design.lead_resistance_ohm, "lead_resistance_ohm", at_least(0));
    check_range(design.capacitance_f, "capacitance_f", at_least(0));
    LoopTap tap{};
    tap.turns = turns;
    tap.area_m2 = design.outline.area_m2();
    tap.wire_length_m = turns * design.outline.perimeter_m();
    tap.wire = design.wire;
    tap.pitch_m = design.pitch_m;
    tap.resistance_dc_20c_ohm = tap.wire_length_m * design.wire.resistance_dc_ohm_per_m(20);
    tap.lead_resistance_ohm = design.lead_resistance_ohm;
    tap.proximity_loss = design.proximity_loss && turns > 1;

    const auto positions = hexagonal_bundle(turns, design.pitch_m);
    const double n2 = static_cast<double>(turns) * turns;
    tap.gmr_dc_m = bundle_gmr_m(positions, wire_gmr_m(design.wire.radius_m(), 1));
    tap.gmr_hf_m = bundle_gmr_m(positions, wire_gmr_m(design.wire.radius_m(), 0));
    const double bundle = bundle_radius_m(turns, design.pitch_m);
    check_range(bundle, "bundle_radius_m",
                {.highest = 0.05 * design.outline.perimeter_m() / 2, .highest_excluded = true}, std::nullopt,
                "a fortieth of the loop's perimeter");
    // L against ln(gmr) is so nearly straight over the range between d.c. and the skin limit (u <= 1/4) that
    // a parabola through three points holds it to 1e-9.
    const double u_hf = std::log(tap.gmr_hf_m / tap.gmr_dc_m);
    tap.inductance_dc_h = n2 * self_inductance_h(design.outline, tap.gmr_dc_m);
    tap.inductance_hf_h = n2 * self_inductance_h(design.outline, tap.gmr_hf_m);
    const double mid = n2 * self_inductance_h(design.outline, std::sqrt(tap.gmr_dc_m * tap.gmr_hf_m));
    const double rise = tap.inductance_hf_h - tap.inductance_dc_h;
    const double bend = mid - tap.inductance_dc_h - rise / 2;
    tap.inductance_curve_h = -4 * bend / (u_hf * u_hf);
    tap.inductance_slope_h = rise / u_hf - tap.inductance_curve_h * u_hf;

    if (design.capacitance_f > 0) {
        tap.stray_capacitance_f = design.capacitance_f;
        tap.self_resonance_hz = 1 / (2 * pi * std::sqrt(tap.inductance_hf_h * design.capacitance_f));
    } else {
        tap.self_resonance_hz = bundle_velocity_factor * light_m_per_s / (2 * tap.wire_length_m);
        const double omega = 2 * pi * tap.self_resonance_hz;
        tap.stray_capacitance_f = 1 / (omega * omega * tap.inductance_hf_h);
    }
    return tap;
}

LoopImpedance loop_impedance(const LoopTap& tap, double winding_temperature_c, double frequency_hz) {
    const BundleEffect e =
        bundle_effect_estimate(tap.wire, tap.turns, tap.pitch_m, winding_temperature_c, frequency_hz);
    const double ratio = tap.proximity_loss ? e.resistance_ratio : e.skin_ratio;
    const double heat = 1 + tap.wire.alpha20_per_k * (winding_temperature_c - 20);
    const double u = (1 - e.internal_inductance_ratio) / (4.0 * tap.turns);
    return {tap.resistance_dc_20c_ohm * ratio * heat + tap.lead_resistance_ohm,
            tap.inductance_dc_h + u * (tap.inductance_slope_h + u * tap.inductance_curve_h), ratio};
}

double loop_mutual_h(const LoopDesign& loop1, const LoopDesign& loop2, double offset_north_m,
                     double offset_east_m) {
    const auto first = placed_vertices(loop1);
    auto second = placed_vertices(loop2);
    for (LoopPoint& p : second) {
        p.x_m += offset_north_m;
        p.y_m += offset_east_m;
    }
    return polygon_mutual_h(first, second);
}

}  // namespace ampturn::model::loop
