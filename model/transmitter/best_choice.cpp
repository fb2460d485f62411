#include "model/transmitter/best_choice.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "model/base/constants.hpp"

namespace ampturn::model::transmitter {

namespace {

// An upper bound of the fundamental that costs no solution: full drive from the unloaded battery, and what
// each limit leaves for the fundamental alone (a waveform bounded by p has a fundamental of at most 4p/pi;
// rms^2 holds at least half the fundamental squared).
double fundamental_bound_a(const Transmitter& transmitter, const DriveRequest& request,
                           const loop::LoopImpedance& z, double switch_ohm, double source_v,
                           double heat_rms_a, int capacitor) {
    const TransmitterLimits& l = transmitter.design.limits;
    bridge::BridgeLoad load{z.resistance_ohm + switch_ohm, z.inductance_h};
    double bound = std::min(
        {request.fundamental_peak_a, std::sqrt(2.0) * std::min(l.rms_a, heat_rms_a), 4 / pi * l.peak_a});
    if (capacitor >= 0) {
        const SeriesCapacitor& c = transmitter.design.capacitors[static_cast<std::size_t>(capacitor)];
        load.capacitance_f = c.capacitance_f;
        load.resistance_ohm += c.esr_ohm;
        bound = std::min(bound, 4 / pi * c.rated_peak_v * 2 * pi * request.frequency_hz * c.capacitance_f);
    }
    bound = std::min(bound, std::sqrt(2 * l.bus_power_w / load.resistance_ohm));
    return std::min(bound, 4 / pi * source_v / bridge::load_impedance_ohm(load, request.frequency_hz));
}

}  // namespace

BestChoice best_tap_and_capacitor(const Transmitter& transmitter, const Conditions& at,
                                  DriveRequest request) {
    const auto& taps = transmitter.taps(request.loop);
    const DriverDesign& driver = transmitter.design.driver;
    const double switch_ohm =
        2 * driver.rds_on_25c_ohm * (1 + driver.rds_on_beta_per_k * (at.electronics_c - 25));
    const double source_v =
        transmitter.design.supply.converter ? transmitter.design.supply.bus_v : at.battery.ocv_v;
    struct Candidate {
        double moment_bound;
        int tap, capacitor;
    };
    std::vector<Candidate> candidates;
    std::vector<double> heat_rms_a(taps.size(), request.heat_rms_a);
    const int capacitors = static_cast<int>(transmitter.design.capacitors.size());
    candidates.reserve(taps.size() * static_cast<std::size_t>(capacitors + 1));
    for (int t = 0; t < static_cast<int>(taps.size()); ++t) {
        const loop::LoopTap& tap = taps[static_cast<std::size_t>(t)];
        const loop::LoopImpedance z =
            loop::loop_impedance(tap, at.winding_c[loop::index_of(request.loop)], request.frequency_hz);
        double& heat_a = heat_rms_a[static_cast<std::size_t>(t)];
        if (request.hold_heat_at_c)
            heat_a = std::min(heat_a, heat_limited_rms_a(transmitter, tap, request.frequency_hz,
                                                         *request.hold_heat_at_c, 1));
        for (int c = -1; c < capacitors; ++c)
            candidates.push_back(
                {tap.moment_per_ampere_m2() *
                     fundamental_bound_a(transmitter, request, z, switch_ohm, source_v, heat_a, c),
                 t, c});
    }
    // Coupled loops hand power to each other: then no candidate is passed over.
    const bool together = request.loop == loop::LoopSelection::both || driver.idle_loop_closed;
    const auto moment_of = [](const OperatingPoint& p) { return p.moment_peak_a_m2 + p.moment_b_peak_a_m2; };
    const auto promising = [](const Candidate& a, const Candidate& b) {
        return a.moment_bound < b.moment_bound;  // heap: largest bound first
    };
    std::make_heap(candidates.begin(), candidates.end(), promising);

    BestChoice best;
    bool found = false;
    while (!candidates.empty()) {
        std::pop_heap(candidates.begin(), candidates.end(), promising);
        const Candidate c = candidates.back();
        candidates.pop_back();
        if (!together && found && c.moment_bound < moment_of(best.point) * (1 - 1e-12)) break;
        request.tap_index = c.tap;
        request.heat_rms_a = heat_rms_a[static_cast<std::size_t>(c.tap)];
        request.capacitor_index = c.capacitor;
        const OperatingPoint point = solve_operating_point(transmitter, at, request, false);
        ++best.evaluated;
        // Equal within rounding: the lower power, then the lower tap and capacitor index.
        const double gain = moment_of(point) - moment_of(best.point);
        const double close = 1e-9 * moment_of(best.point);
        bool better = !found || gain > close;
        if (found && !better && gain > -close && point.solved) {
            const double saving = best.point.power.battery_w - point.power.battery_w;
            better = saving > 1e-9 * point.power.battery_w ||
                     (saving > -1e-9 * point.power.battery_w &&
                      std::pair(c.tap, c.capacitor) < std::pair(best.tap_index, best.capacitor_index));
        }
        if (better && (point.solved || !found)) {
            best.point = point;
            best.tap_index = c.tap;
            best.capacitor_index = c.capacitor;
            found = true;
        }
    }
    request.tap_index = best.tap_index;
    request.heat_rms_a = heat_rms_a[static_cast<std::size_t>(best.tap_index)];
    request.capacitor_index = best.capacitor_index;
    best.point = solve_operating_point(transmitter, at, request);
    return best;
}

}  // namespace ampturn::model::transmitter
