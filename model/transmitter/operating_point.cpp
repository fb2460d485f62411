#include "model/transmitter/operating_point.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/root.hpp"
#include "model/transmitter/coupled_drive.hpp"
#include "model/transmitter/heat_of.hpp"
#include "model/transmitter/limited_drive.hpp"

namespace ampturn::model::transmitter {

namespace {

// Inductance that dead shorts across turns leave: leakage of a bundle. Common practice, no source.
constexpr double shorted_leakage = 0.02;

struct Loaded {
    LoopCircuit circuit;
    loop::LoopImpedance impedance;
    const loop::LoopTap* tap = nullptr;
    double turns_left = 1;  // share not shorted
    double area_factor = 1;
};

Loaded circuit_of(const Transmitter& transmitter, std::size_t loop, const Conditions& at,
                  const DriveRequest& request) {
    const auto& taps = loop == 0 ? transmitter.taps_a : transmitter.taps_b;
    check_range(request.tap_index, "tap_index", 0, static_cast<double>(taps.size()) - 1);
    const loop::LoopTap& tap = taps[static_cast<std::size_t>(request.tap_index)];
    const CircuitFaults& faults = at.faults[loop];
    const DriverDesign& driver = transmitter.design.driver;
    Loaded out;
    out.tap = &tap;
    out.impedance = loop::loop_impedance(tap, at.winding_c[loop], request.frequency_hz);
    out.turns_left = 1 - faults.short_fraction;
    out.area_factor = faults.area_factor;
    const double left = out.turns_left;
    const double winding = out.impedance.resistance_ohm - tap.lead_resistance_ohm;
    out.impedance.resistance_ohm = winding * left + tap.lead_resistance_ohm + faults.extra_resistance_ohm;
    if (faults.short_fraction > 0)
        out.impedance.inductance_h *= std::max(left * left, 1e-3) * (left > 0 ? 1 : shorted_leakage);
    out.impedance.inductance_h *= std::sqrt(faults.area_factor);
    LoopCircuit& c = out.circuit;
    c.switch_ohm = 2 * driver.rds_on_25c_ohm * (1 + driver.rds_on_beta_per_k * (at.electronics_c - 25));
    c.load.resistance_ohm = out.impedance.resistance_ohm + c.switch_ohm;
    c.load.inductance_h = out.impedance.inductance_h;
    if (request.capacitor_index >= 0) {
        const SeriesCapacitor& cap =
            transmitter.design.capacitors.at(static_cast<std::size_t>(request.capacitor_index));
        c.load.capacitance_f = cap.capacitance_f * faults.capacitance_factor;
        c.load.resistance_ohm += cap.esr_ohm;
    }
    c.frequency_hz = request.frequency_hz;
    c.dead_time_s = driver.dead_time_s;
    c.overlap_s = driver.overlap_s;
    c.fixed_w = driver.quiescent_w + 4 * request.frequency_hz * driver.gate_energy_j;
    c.duty = driver.duty;
    c.control = driver.control;
    c.open = faults.open;
    return out;
}

DriveLimits limits_of(const Transmitter& transmitter, const DriveRequest& request) {
    const TransmitterLimits& l = transmitter.design.limits;
    DriveLimits out;
    out.fundamental_peak_a = request.fundamental_peak_a;
    out.rms_a = l.rms_a;
    out.heat_rms_a = request.heat_rms_a;
    out.peak_a = l.peak_a;
    if (request.capacitor_index >= 0)
        out.capacitor_peak_v =
            transmitter.design.capacitors.at(static_cast<std::size_t>(request.capacitor_index)).rated_peak_v;
    return out;
}

// One or two loops on one bus.
struct Driven {
    std::array<DrivenLoop, 2> loop;
    int count = 1;
    double bus_w() const { return loop[0].bus_w + (count == 2 ? loop[1].bus_w : 0.0); }
};

class Circuit {
  public:
    Circuit(const Transmitter& transmitter, const Conditions& at, const DriveRequest& request)
        : transmitter_(transmitter) {
        loaded_[0] = circuit_of(transmitter, loop::index_of(request.loop), at, request);
        if (request.loop == loop::LoopSelection::both) {
            loaded_[1] = circuit_of(transmitter, 1, at, request);
            // One driver's quiescent power, two bridges' gates.
            loaded_[1].circuit.fixed_w -= transmitter.design.driver.quiescent_w;
            count_ = 2;
        }
        couple(transmitter, at, request);
        limits_ = limits_of(transmitter, request);
    }

    int count() const { return count_; }
    bool idle_coupled() const { return coupled_ && !coupled_->second_driven; }
    const Loaded& loaded(int i) const { return loaded_[static_cast<std::size_t>(i)]; }

    Driven at_bus(double bus_v, double battery_current_w, bool with_harmonics) const {
        DriveLimits limits = limits_;
        if (coupled_) {
            limits.bus_power_w = transmitter_.design.limits.bus_power_w;
            limits.battery_current_w = battery_current_w;
            return {drive_coupled_within_limits(*coupled_, bus_v, limits, with_harmonics), 2};
        }
        limits.bus_power_w = transmitter_.design.limits.bus_power_w / count_;
        limits.battery_current_w = battery_current_w / count_;
        Driven out;
        out.count = count_;
        for (int i = 0; i < count_; ++i)
            out.loop[static_cast<std::size_t>(i)] =
                drive_within_limits(loaded(i).circuit, bus_v, limits, with_harmonics);
        return out;
    }

  private:
    // Both loops together, where both carry current and each feels the other.
    void couple(const Transmitter& transmitter, const Conditions& at, DriveRequest request) {
        const bool both = request.loop == loop::LoopSelection::both;
        if (transmitter.taps_b.empty() || at.faults[0].open || at.faults[1].open) return;
        if (!both && !transmitter.design.driver.idle_loop_closed) return;
        if (!both) {
            const std::size_t idle = 1 - loop::index_of(request.loop);
            const auto& taps = idle == 0 ? transmitter.taps_a : transmitter.taps_b;
            request.tap_index = std::min(request.tap_index, static_cast<int>(taps.size()) - 1);
            loaded_[1] = circuit_of(transmitter, idle, at, request);
            loaded_[1].circuit.fixed_w = 0;  // it does not switch
        }
        const double mutual_h = transmitter.mutual_one_turn_h * loaded_[0].tap->turns *
                                loaded_[0].turns_left * loaded_[1].tap->turns * loaded_[1].turns_left;
        const double whole_h =
            std::sqrt(loaded_[0].circuit.load.inductance_h * loaded_[1].circuit.load.inductance_h);
        if (std::abs(mutual_h) < Transmitter::least_coupling * whole_h) return;
        coupled_ = {{loaded_[0].circuit, loaded_[1].circuit}, mutual_h, both};
        count_ = 2;
    }

    const Transmitter& transmitter_;
    std::array<Loaded, 2> loaded_;
    std::optional<CoupledCircuits> coupled_;
    DriveLimits limits_;
    int count_ = 1;
};

void fill(OperatingPoint& out, const Circuit& circuit, const Driven& driven, const DriveRequest& request,
          const Transmitter& transmitter) {
    const Loaded& first = circuit.loaded(0);
    const DrivenLoop& loop = driven.loop[0];
    out.current = loop.current;
    out.duty = loop.duty;
    out.bus_v = loop.bridge_v;
    out.limited_by = loop.limited_by;
    const double per_ampere = first.tap->moment_per_ampere_m2();
    out.moment_peak_a_m2 =
        loop.current.fundamental_peak_a * per_ampere * first.turns_left * first.area_factor;
    out.loop_resistance_ohm = first.impedance.resistance_ohm;
    out.loop_inductance_h = first.impedance.inductance_h;
    out.total_resistance_ohm = first.circuit.load.resistance_ohm;
    const double omega = 2 * pi * request.frequency_hz;
    double omega0 = omega;
    if (request.capacitor_index >= 0) {
        omega0 = 1 / std::sqrt(out.loop_inductance_h * first.circuit.load.capacitance_f);
        out.resonance_hz = omega0 / (2 * pi);
    }
    out.winding_ratio = first.impedance.resistance_ratio;
    out.quality = omega0 * out.loop_inductance_h / out.total_resistance_ohm;
    out.near_self_resonance =
        request.frequency_hz * transmitter.design.limits.self_resonance_margin > first.tap->self_resonance_hz;
    out.leading = loop.current.rising_edge_a > 0;
    for (int i = 0; i < circuit.count(); ++i) {
        const DrivenLoop& d = driven.loop[static_cast<std::size_t>(i)];
        const LoopCircuit& c = circuit.loaded(i).circuit;
        const double square = d.current.rms_a * d.current.rms_a;
        out.power.copper_w += square * (c.load.resistance_ohm - c.switch_ohm);
        out.power.bridge_w += square * c.switch_ohm;
        out.power.switching_w += d.switching_w;
        out.power.fixed_w += c.fixed_w;
    }
    if (circuit.count() == 2) out.other_winding_ratio = circuit.loaded(1).impedance.resistance_ratio;
    if (circuit.idle_coupled()) {
        out.idle = driven.loop[1].current;
    } else if (circuit.count() == 2) {
        out.current_b = driven.loop[1].current;
        out.moment_b_peak_a_m2 = out.current_b.fundamental_peak_a *
                                 circuit.loaded(1).tap->moment_per_ampere_m2() *
                                 circuit.loaded(1).turns_left * circuit.loaded(1).area_factor;
    }
}

void settle_battery(OperatingPoint& out, const Conditions& at, double wiring_ohm, double input_w) {
    // Current from the driver's input power through battery and wiring resistance in series.
    const double series = at.battery.resistance_ohm + wiring_ohm;
    const double e = at.battery.ocv_v;
    out.battery_a = 2 * input_w / (e + std::sqrt(std::max(0.0, e * e - 4 * series * input_w)));
    out.battery_v = e - at.battery.resistance_ohm * out.battery_a;
    out.power.other_w = at.other_load_w;
    out.power.wiring_w = wiring_ohm * out.battery_a * out.battery_a;
    out.power.internal_w = at.battery.resistance_ohm * out.battery_a * out.battery_a;
    out.power.battery_w = out.battery_v * out.battery_a;
}

}  // namespace

const char* name_of(Limit limit) {
    switch (limit) {
        case Limit::target:
            return "target";
        case Limit::voltage:
            return "voltage";
        case Limit::rms_current:
            return "rms current";
        case Limit::peak_current:
            return "peak current";
        case Limit::capacitor_voltage:
            return "capacitor voltage";
        case Limit::heat:
            return "heat";
        case Limit::bus_power:
            return "bus power";
        case Limit::battery_current:
            return "battery current";
        case Limit::battery_power:
            return "battery power";
    }
    return "?";
}

double OperatingPoint::largest_capacitor_peak_v() const {
    return std::max({current.capacitor_peak_v, current_b.capacitor_peak_v, idle.capacitor_peak_v});
}
double OperatingPoint::largest_peak_a() const {
    return std::max({current.peak_a, current_b.peak_a, idle.peak_a});
}
double OperatingPoint::largest_fundamental_peak_a() const {
    return std::max({current.fundamental_peak_a, current_b.fundamental_peak_a, idle.fundamental_peak_a});
}

const loop::LoopTap& selected_tap(const Transmitter& transmitter, const DriveRequest& request) {
    return transmitter.taps(request.loop).at(static_cast<std::size_t>(request.tap_index));
}

OperatingPoint solve_operating_point(const Transmitter& transmitter, const Conditions& at,
                                     const DriveRequest& request, bool with_harmonics) {
    check_range(request.frequency_hz, "frequency_hz", more_than(0));
    const Circuit circuit(transmitter, at, request);
    const SupplyDesign& supply = transmitter.design.supply;
    const double e = at.battery.ocv_v;
    const double series = at.battery.resistance_ohm + supply.wiring_ohm;
    const double deliverable = e * e / (4 * series);
    OperatingPoint out;
    double input_w = 0;

    if (supply.converter) {
        // The bus voltage is set, so the input power is known; battery current has a closed form.
        const double limit_a = transmitter.design.limits.battery_a;
        double allowed_w = no_limit;
        if (std::isfinite(limit_a)) {
            const double i = std::min(limit_a, e / (2 * series));
            allowed_w = std::max(
                0.0, ((e - series * i) * i - at.other_load_w - supply.standby_w) * supply.efficiency);
        }
        const Driven driven = circuit.at_bus(supply.bus_v, allowed_w, with_harmonics);
        fill(out, circuit, driven, request, transmitter);
        out.power.converter_w = out.power.bus_w() * (1 / supply.efficiency - 1) + supply.standby_w;
        input_w = out.power.bus_w() + out.power.converter_w + at.other_load_w;
        out.solved = input_w <= deliverable;
        out.shortfall = std::max(0.0, input_w - deliverable);
    } else {
        // phi(V) = V - E/2 - sqrt(max(0, E^2/4 - R P(V))): continuous, not positive at E/2, not negative at E.
        const auto input_at = [&](double v) {
            return circuit.at_bus(v, transmitter.design.limits.battery_a * v - at.other_load_w, false)
                       .bus_w() +
                   at.other_load_w;
        };
        const auto phi = [&](double v) {
            return v - e / 2 - std::sqrt(std::max(0.0, e * e / 4 - series * input_at(v)));
        };
        const double least = input_at(e / 2);
        double bus_v = e / 2;
        out.solved = least <= deliverable;
        if (out.solved) {
            const double phi_low = -std::sqrt(std::max(0.0, e * e / 4 - series * least));
            bus_v = bracketed_root(phi, e / 2, e, phi_low, phi(e), 1e-13 * e);
        } else {
            out.shortfall = least - deliverable;
        }
        const Driven driven = circuit.at_bus(
            bus_v, transmitter.design.limits.battery_a * bus_v - at.other_load_w, with_harmonics);
        fill(out, circuit, driven, request, transmitter);
        input_w = out.power.bus_w() + at.other_load_w;
    }
    if (!out.solved) {
        // Nothing runs: the impedances stay for the report, the rest is empty.
        OperatingPoint none;
        none.shortfall = out.shortfall;
        none.loop_resistance_ohm = out.loop_resistance_ohm;
        none.loop_inductance_h = out.loop_inductance_h;
        none.total_resistance_ohm = out.total_resistance_ohm;
        none.resonance_hz = out.resonance_hz;
        none.quality = out.quality;
        none.near_self_resonance = out.near_self_resonance;
        none.limited_by = Limit::battery_power;
        none.battery_v = e / 2;
        return none;
    }
    settle_battery(out, at, supply.wiring_ohm, input_w);
    return out;
}

double heat_limited_rms_a(const Transmitter& transmitter, const loop::LoopTap& tap, double frequency_hz,
                          double ambient_c, double duty_of_time) {
    const TransmitterDesign& d = transmitter.design;
    const HeatInput heat = heat_of_tap(
        transmitter, tap, loop::loop_impedance(tap, d.limits.winding_c, frequency_hz).resistance_ratio,
        d.driver.quiescent_w + 4 * frequency_hz * d.driver.gate_energy_j);
    // Temperatures rise with the mean square; the limit is where the hotter node (against its limit) arrives.
    const auto excess = [&](double mean_square) {
        HeatInput q = heat;
        q.rms_a = std::sqrt(mean_square);
        const auto t = steady_temperatures(d.thermal, q, ambient_c);
        if (!t) return 1e6;
        return std::max(t->winding_c - d.limits.winding_c, t->electronics_c - d.limits.electronics_c);
    };
    const double resting = excess(0);
    if (resting >= 0) return 0;
    const double runaway = runaway_current_a(d.thermal, heat);
    const double top = runaway * runaway;
    const double square = bracketed_root(excess, 0.0, top, resting, 1e6, 1e-12 * top);
    return std::sqrt(square / duty_of_time);
}

std::optional<double> discharge_time_s(const SeriesCapacitor& capacitor, double peak_v, double safe_v) {
    if (!std::isfinite(capacitor.bleed_ohm)) return std::nullopt;
    if (peak_v <= safe_v) return 0.0;
    return capacitor.bleed_ohm * capacitor.capacitance_f * std::log(peak_v / safe_v);
}

}  // namespace ampturn::model::transmitter
