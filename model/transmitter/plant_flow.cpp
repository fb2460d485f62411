#include "model/transmitter/plant_flow.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/transmitter/heat_of.hpp"

namespace ampturn::model::transmitter {

namespace {

/// What the cables get of what the terminals give.
Drive as_plugged(Drive drive, const Transmitter& transmitter, const PlantFaults& faults) {
    if (!faults.plugs_exchanged || drive.loop == loop::LoopSelection::both || transmitter.taps_b.empty())
        return drive;
    drive.loop = loop::other_of(drive.loop);
    const auto taps = static_cast<int>(transmitter.taps(drive.loop).size());
    drive.tap_index = std::min(drive.tap_index, taps - 1);
    return drive;
}

}  // namespace

PlantFlow::PlantFlow(const Transmitter& transmitter, const PlantState& state, const Drive& drive)
    : transmitter_(transmitter), faults_(state.faults), drive_(as_plugged(drive, transmitter, state.faults)) {
    const BatteryBank& bank = transmitter.design.battery;
    battery_c_ = drive.battery_ambient_c + faults_.battery_temperature_offset_k;
    reference_ = {bank.block.capacity_25c_ah * bank.parallel, bank.block.available_fraction,
                  bank.block.rate_per_h};
    usable_ = capacity_factor(bank.block, battery_c_) * faults_.battery_capacity_factor;
    connected_ = !faults_.battery_disconnected && !state.cut_off;
    supplied_ = connected_ && !faults_.supply_reversed;
    if (supplied_ && drive.mode != DriveMode::off)
        driven_ = {loop::feeds(drive_.loop, loop::LoopSelection::a),
                   loop::feeds(drive_.loop, loop::LoopSelection::b)};
    thermal_ = transmitter.design.thermal;
    thermal_.winding_ambient_k_per_w *= faults_.winding_cooling_factor;
    thermal_.electronics_ambient_k_per_w *= faults_.electronics_cooling_factor;
}

BatterySource PlantFlow::source(const BatteryCharge& q) const {
    const BatteryBank& bank = transmitter_.design.battery;
    BatterySource s = battery_source(bank, soc_for_voltage(bank, reference_, q), battery_c_);
    s.resistance_ohm *= faults_.battery_resistance_factor;
    return s;
}

OperatingPoint PlantFlow::operating_point(const Moving& m, const BatterySource& battery) const {
    const bool check = drive_.mode == DriveMode::self_check;
    DriveRequest request;
    request.loop = drive_.loop;
    request.tap_index = drive_.tap_index;
    request.capacitor_index = check ? -1 : drive_.capacitor_index;
    request.frequency_hz = check ? transmitter_.design.self_check_hz : drive_.frequency_hz;
    request.fundamental_peak_a = check ? transmitter_.design.self_check_a : drive_.target_fundamental_peak_a;
    Conditions at;
    at.winding_c = m.winding_c;
    at.electronics_c = m.electronics_c;
    at.battery = battery;
    at.other_load_w = faults_.battery_leakage_w;
    for (std::size_t i = 0; i < 2; ++i)
        at.faults[i] = {faults_.contact_ohm[i], faults_.short_fraction[i], faults_.capacitance_factor,
                        faults_.loop_open[i], faults_.area_factor[i]};
    if (!check && drive_.amplitude_fraction < 1) {
        // A ramp step is a fraction of what the target gives in full.
        if (!std::isfinite(request.fundamental_peak_a))
            request.fundamental_peak_a =
                solve_operating_point(transmitter_, at, request, false).current.fundamental_peak_a;
        request.fundamental_peak_a *= drive_.amplitude_fraction;
    }
    const bool shorted =
        (driven_[0] && faults_.short_fraction[0] > 0) || (driven_[1] && faults_.short_fraction[1] > 0);
    return shorted && !check ? shorted_point(at, request)
                             : solve_operating_point(transmitter_, at, request, false);
}

/// The regulator is slower than what watches the current: the pulse width stays that of the healthy loop while the current
/// rises, as far as the battery can feed it. A series capacitor first empties itself through the short: v sqrt(C/L) of what
/// inductance is left, any circuits text.
OperatingPoint PlantFlow::shorted_point(Conditions at, DriveRequest request) const {
    Conditions healthy = at;
    for (CircuitFaults& f : healthy.faults) f.short_fraction = 0;
    const OperatingPoint before = solve_operating_point(transmitter_, healthy, request, false);
    if (!before.solved || !(before.duty > 0)) return before;
    Transmitter unguarded = transmitter_;
    TransmitterLimits& limits = unguarded.design.limits;
    limits.rms_a = limits.peak_a = limits.battery_a = limits.bus_power_w = no_limit;
    for (SeriesCapacitor& capacitor : unguarded.design.capacitors) capacitor.rated_peak_v = no_limit;
    request.fundamental_peak_a = no_limit;
    const auto at_duty = [&](double duty) {
        unguarded.design.driver.duty = duty;
        return solve_operating_point(unguarded, at, request, false);
    };
    OperatingPoint point = at_duty(before.duty);
    if (point.solved && request.capacitor_index >= 0) {
        const double farads =
            transmitter_.design.capacitors[static_cast<std::size_t>(request.capacitor_index)].capacitance_f *
            faults_.capacitance_factor;
        const double surge_a =
            before.largest_capacitor_peak_v() * std::sqrt(farads / point.loop_inductance_h);
        point.current.fundamental_peak_a = std::max(point.current.fundamental_peak_a, surge_a);
        point.current.peak_a = std::max(point.current.peak_a, surge_a);
    }
    if (point.solved) return point;
    double low = 0, high = before.duty;
    for (int n = 0; n < 12; ++n) {
        const double middle = (low + high) / 2;
        const OperatingPoint tried = at_duty(middle);
        (tried.solved ? low : high) = middle;
        if (tried.solved) point = tried;
    }
    return point.solved ? point : before;
}

Flow PlantFlow::flow(const Moving& m) const {
    Flow out;
    if (!connected_) return out;
    const BatterySource battery = out.battery = source(m.charge);
    if (driven_[0] || driven_[1]) {
        out.sends = true;
        out.point = operating_point(m, battery);
        out.deliverable = out.point.solved;
        out.battery_a = out.point.battery_a;
        out.battery_v = out.point.battery_v;
        out.power = out.point.power;
    } else {
        const double idle = supplied_ ? transmitter_.design.idle_w : 0;
        const double wiring = supplied_ ? transmitter_.design.supply.wiring_ohm : 0;
        BatterySource seen = battery;
        seen.resistance_ohm += wiring;
        const auto current = constant_power_current_a(seen, idle + faults_.battery_leakage_w);
        out.deliverable = current.has_value();
        out.battery_a = current.value_or(0);
        out.battery_v = battery.ocv_v - battery.resistance_ohm * out.battery_a;
        const double square = out.battery_a * out.battery_a;
        if (current) {
            out.power.fixed_w = idle;
            out.power.other_w = faults_.battery_leakage_w;
            out.power.wiring_w = wiring * square;
            out.power.internal_w = battery.resistance_ohm * square;
            out.power.battery_w = out.battery_v * out.battery_a;
        }
    }
    out.cutoff_margin_v = out.deliverable ? out.battery_v - battery.cutoff_v : -battery.cutoff_v;
    return out;
}

HeatInput PlantFlow::heat(const Flow& f, loop::LoopSelection winding) const {
    if (!f.sends || !f.point.solved)
        return {.electronics_fixed_w = f.power.fixed_w + f.power.switching_w + f.power.converter_w};
    HeatInput q =
        heat_of(transmitter_, {.loop = drive_.loop, .tap_index = drive_.tap_index}, f.point, winding);
    q.winding_r20_ohm *= 1 - faults_.short_fraction[loop::index_of(winding)];
    return q;
}

Moving PlantFlow::after(const Moving& m, const Flow& f, double dt_s) const {
    Moving out = m;
    // A cold or weak battery loses state of charge faster for the same ampere-hours; one that nothing is connected to
    // still moves bound charge over to what is available.
    out.charge = after_constant_current(reference_, m.charge, connected_ ? f.battery_a / usable_ : 0, dt_s);
    const std::size_t active = driven_[1] && !driven_[0] ? 1 : 0;
    const std::size_t other = 1 - active;
    const Temperatures t = after_heating(thermal_, heat(f, loop::each_loop[active]), drive_.ambient_c,
                                         {m.winding_c[active], m.electronics_c}, dt_s);
    out.winding_c[active] = t.winding_c;
    out.electronics_c = t.electronics_c;
    // The other winding is driven too, or cools by itself; its link to the electronics is left out.
    ThermalNodes alone = thermal_;
    alone.winding_electronics_k_per_w = no_link;
    const bool carries = driven_[other] || f.point.idle.rms_a > 0;
    const HeatInput input = carries ? heat(f, loop::each_loop[other]) : HeatInput{};
    out.winding_c[other] =
        after_heating(alone, input, drive_.ambient_c, {m.winding_c[other], m.electronics_c}, dt_s).winding_c;
    return out;
}

bool PlantFlow::alike(const Moving& from, const BatterySource& then, const Moving& to, double factor) const {
    for (std::size_t i = 0; i < 2; ++i)
        if (std::abs(to.winding_c[i] - from.winding_c[i]) > 0.02 * factor) return false;
    if (std::abs(to.electronics_c - from.electronics_c) > 0.05 * factor) return false;
    if (!connected_) return true;
    const BatterySource now = source(to.charge);
    return std::abs(now.ocv_v - then.ocv_v) <= 5e-5 * factor * then.ocv_v &&
           std::abs(now.resistance_ohm - then.resistance_ohm) <= 1e-3 * factor * then.resistance_ohm;
}

PlantReadings PlantFlow::readings(const Moving& m, const Flow& f) const {
    PlantReadings r;
    r.supplied = supplied_;
    r.reversed = connected_ && faults_.supply_reversed;
    r.battery_v = r.reversed ? -f.battery_v : f.battery_v;
    r.battery_a = f.battery_a;
    r.battery_w = f.power.battery_w;
    r.below_cutoff = connected_ && f.cutoff_margin_v <= 0;
    r.soc_available = soc_available(reference_, m.charge);
    r.soc_total = soc_total(reference_, m.charge);
    r.winding_c = std::max(m.winding_c[0], m.winding_c[1]);
    r.electronics_c = m.electronics_c;
    r.no_operating_point = connected_ && !f.deliverable;
    r.bus_v = supplied_ ? (transmitter_.design.supply.converter
                               ? transmitter_.design.supply.bus_v
                               : f.battery_v - transmitter_.design.supply.wiring_ohm * f.battery_a)
                        : 0.0;
    if (!f.sends) return r;
    const OperatingPoint& p = f.point;
    const std::size_t loop = loop::index_of(drive_.loop);
    r.fundamental_peak_a = p.current.fundamental_peak_a;
    r.rms_a = p.current.rms_a;
    r.fundamental_b_peak_a = p.current_b.fundamental_peak_a;
    r.idle_fundamental_peak_a = p.idle.fundamental_peak_a;
    r.peak_a = p.current.peak_a;
    r.phase_rad = p.current.fundamental_phase_rad;
    r.moment_peak_a_m2 = p.moment_peak_a_m2;
    r.moment_b_peak_a_m2 = p.moment_b_peak_a_m2;
    r.loop_resistance_ohm = p.loop_resistance_ohm;
    if (faults_.loop_open[loop]) r.loop_resistance_ohm = no_limit;
    if (faults_.plugs_exchanged && drive_.loop == loop::LoopSelection::both) {
        r.fundamental_peak_a = p.current_b.fundamental_peak_a;
        r.fundamental_b_peak_a = p.current.fundamental_peak_a;
        r.rms_a = p.current_b.rms_a;
        r.peak_a = p.current_b.peak_a;
        r.phase_rad = p.current_b.fundamental_phase_rad;
    }
    r.capacitor_peak_v = p.largest_capacitor_peak_v();
    r.limited_by = p.limited_by;
    r.shortfall_w = p.shortfall;
    if (p.solved && transmitter_.design.driver.control == bridge::CurrentControl::supply) r.bus_v = p.bus_v;
    return r;
}

}  // namespace ampturn::model::transmitter
