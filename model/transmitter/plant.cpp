#include "model/transmitter/plant.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/root.hpp"
#include "model/transmitter/plant_flow.hpp"

namespace ampturn::model::transmitter {

namespace {

// A step is gentle when the battery current at its middle is this close to the one at its start; the error of
// the exponential midpoint then goes with the square of it.
constexpr double gentle_change = 0.01;
constexpr double longest_step_s = 600;
constexpr double shortest_step_s = 0.02;
constexpr double event_tolerance_s = 1e-6;

// Distances to the crossings: positive before, not positive after.
constexpr int crossing_count = 7;
using Margins = std::array<double, crossing_count>;

Margins margins(const Transmitter& transmitter, const PlantFlow& plant, const Moving& m, const Flow& f) {
    const TransmitterLimits& l = transmitter.design.limits;
    const double winding = std::max(m.winding_c[0], m.winding_c[1]);
    return {f.cutoff_margin_v,
            m.charge.available_ah / plant.reference_ah(),
            f.deliverable ? 1.0 : -1.0,
            l.winding_c - winding,
            l.electronics_c - m.electronics_c,
            winding - l.restart_winding_c,
            m.electronics_c - l.restart_electronics_c};
}

// No limit is so near that a change within PlantFlow::alike could reach it.
bool far_from_limits(const Margins& margins, const Flow& flow, const Moving& from, const Moving& to,
                     double reference_ah) {
    const double used = (from.charge.available_ah - to.charge.available_ah) / reference_ah;
    const std::array<double, crossing_count> needed{2e-3 * flow.battery_v, 2 * used, 0, 0.1, 0.1, 0.1, 0.1};
    for (int k = 0; k < crossing_count; ++k) {
        const auto i = static_cast<std::size_t>(k);
        if (margins[i] > 0 && !(margins[i] > needed[i])) return false;
    }
    return true;
}

struct Event {
    double at_s;
    int which;
};

// What a step of h under one flow leads to.
struct Step {
    Moving end;
    Flow end_flow;
    std::optional<Event> event;
};

// Moves m under `flow` for h and looks for the first crossing; the middle is looked at too, for a limit
// passed and left again.
Step stepped(const Transmitter& transmitter, const PlantFlow& plant, const Moving& m, const Margins& before,
             const Flow& flow, double h) {
    Step out;
    const auto margin_at = [&](double t, int k) {
        const Moving there = plant.after(m, flow, t);
        return margins(transmitter, plant, there,
                       k <= 2 ? plant.flow(there) : flow)[static_cast<std::size_t>(k)];
    };
    out.end = plant.after(m, flow, h);
    out.end_flow = plant.flow(out.end);
    const Margins at_middle = margins(transmitter, plant, plant.after(m, flow, h / 2), flow);
    const Margins at_end = margins(transmitter, plant, out.end, out.end_flow);
    for (int k = 0; k < crossing_count; ++k) {
        const auto i = static_cast<std::size_t>(k);
        if (!(before[i] > 0)) continue;
        double low = 0, high = 0, f_low = before[i], f_high = 0;
        if (at_middle[i] <= 0) {
            high = h / 2;
            f_high = at_middle[i];
        } else if (at_end[i] <= 0) {
            low = h / 2;
            f_low = at_middle[i];
            high = h;
            f_high = at_end[i];
        } else {
            continue;
        }
        // Close the bracket and take its far side: just past the crossing.
        for (int n = 0; n < 100 && high - low > event_tolerance_s; ++n) {
            double t = low + (high - low) * std::clamp(f_low / (f_low - f_high), 0.02, 0.98);
            if (n % 2 == 1) t = low + (high - low) / 2;
            const double f = margin_at(t, k);
            if (f > 0) {
                low = t;
                f_low = f;
            } else {
                high = t;
                f_high = f;
            }
        }
        if (!out.event || high < out.event->at_s) out.event = Event{high, k};
    }
    if (out.event) {
        out.end = plant.after(m, flow, out.event->at_s);
        out.end_flow = plant.flow(out.end);
    }
    return out;
}

void move_capacitor(const Transmitter& transmitter, PlantState& state, const Drive& drive, const Flow& last,
                    double dt_s) {
    if (last.sends && last.point.largest_capacitor_peak_v() > 0) {
        state.capacitor_v = last.point.largest_capacitor_peak_v();
        state.capacitor_index = drive.capacitor_index;
        return;
    }
    if (state.capacitor_v <= 0 || state.capacitor_index < 0) return;
    const SeriesCapacitor& c =
        transmitter.design.capacitors.at(static_cast<std::size_t>(state.capacitor_index));
    if (std::isfinite(c.bleed_ohm)) state.capacitor_v *= std::exp(-dt_s / (c.bleed_ohm * c.capacitance_f));
}

}  // namespace

void add_flow(PlantResult& out, const Flow& flow, double h_s) {
    const PowerBalance& p = flow.power;
    out.energy.battery_out_j += p.battery_w * h_s;
    out.energy.copper_j += p.copper_w * h_s;
    out.energy.bridge_j += p.bridge_w * h_s;
    out.energy.switching_j += p.switching_w * h_s;
    out.energy.fixed_j += p.fixed_w * h_s;
    out.energy.converter_j += p.converter_w * h_s;
    out.energy.wiring_j += p.wiring_w * h_s;
    out.energy.leakage_j += p.other_w * h_s;
    out.energy.internal_j += p.internal_w * h_s;
    out.charge_out_ah += flow.battery_a * h_s / 3600;
    out.moment_time_a_m2_s += flow.point.moment_peak_a_m2 * h_s;
    out.moment_b_time_a_m2_s += flow.point.moment_b_peak_a_m2 * h_s;
}

const char* name_of(Crossing crossing) {
    switch (crossing) {
        case Crossing::battery_cutoff:
            return "battery cut-off";
        case Crossing::battery_empty:
            return "battery empty";
        case Crossing::battery_power:
            return "battery power";
        case Crossing::winding_limit:
            return "winding limit";
        case Crossing::electronics_limit:
            return "electronics limit";
        case Crossing::winding_restart:
            return "winding restart";
        case Crossing::electronics_restart:
            return "electronics restart";
    }
    return "?";
}

PlantState plant_at_rest(const Transmitter& transmitter, double ambient_c, double soc) {
    PlantState s;
    s.winding_c = {ambient_c, ambient_c};
    s.electronics_c = ambient_c;
    exchange_battery(transmitter, s, ambient_c, soc);
    return s;
}

void exchange_battery(const Transmitter& transmitter, PlantState& state, double battery_ambient_c,
                      double soc) {
    check_range(battery_ambient_c, "battery_ambient_c", -60, 80);
    check_range(soc, "soc", 0, 1);
    const BatteryBlock& b = transmitter.design.battery.block;
    state.charge = charge_at_soc(
        {b.capacity_25c_ah * transmitter.design.battery.parallel, b.available_fraction, b.rate_per_h}, soc);
    state.cut_off = false;
}

PlantReadings read(const Transmitter& transmitter, const PlantState& state, const Drive& drive) {
    const PlantFlow plant(transmitter, state, drive);
    const Moving m{state.charge, state.winding_c, state.electronics_c};
    return plant.readings(m, plant.flow(m));
}

PlantResult advance(const Transmitter& transmitter, PlantState& state, const Drive& drive, double dt_s) {
    return advance_from(transmitter, state, drive, dt_s, nullptr);
}

PlantResult advance_from(const Transmitter& transmitter, PlantState& state, const Drive& drive, double dt_s,
                         const Flow* at_start) {
    check_range(dt_s, "dt_s", more_than(0));
    PlantResult out;
    Moving m{state.charge, state.winding_c, state.electronics_c};
    const bool opens = transmitter.design.battery.block.disconnects_at_cutoff;
    std::optional<int> which;
    {
        const PlantFlow plant(transmitter, state, drive);
        Flow now = at_start ? *at_start : plant.flow(m);
        out.start = plant.readings(m, now);
        Margins before = margins(transmitter, plant, m, now);
        // A load that pulls a protected battery below its cut-off opens it at once.
        if (plant.connected() && before[0] <= 0 && opens) which = 0;
        if (plant.connected() && before[1] <= 0) which = 1;
        Flow last = now;
        while (!which && out.advanced_s < dt_s) {
            const double left = dt_s - out.advanced_s;
            double h = std::min(left, longest_step_s);
            // Does what flows at one moment serve to the end of a short step? If not at its start, at its middle?
            const auto served_by = [&](const Moving& since, const Flow& flow) {
                const Moving there = plant.after(m, flow, left);
                if (!plant.alike(since, plant.source(since.charge), there) ||
                    !far_from_limits(before, flow, m, there, plant.reference_ah()))
                    return false;
                add_flow(out, flow, left);
                out.advanced_s = dt_s;
                m = there;
                last = now = flow;
                return true;
            };
            if (left <= h && served_by(m, now)) break;
            Flow mid;
            Moving middle;
            for (;;) {
                middle = plant.after(m, now, h / 2);
                mid = plant.flow(middle);
                const double change = std::abs(mid.battery_a - now.battery_a);
                if (change <= gentle_change * std::abs(now.battery_a) || h <= shortest_step_s) break;
                h /= 2;
            }
            if (left <= h && served_by(middle, mid)) break;
            const Step step = stepped(transmitter, plant, m, before, mid, h);
            const bool whole = h == left && !step.event;
            if (step.event) {
                h = step.event->at_s;
                which = step.event->which;
            }
            add_flow(out, mid, h);
            out.advanced_s = whole ? dt_s : out.advanced_s + h;
            m = step.end;
            last = mid;
            now = step.end_flow;
            before = margins(transmitter, plant, m, now);
        }
        move_capacitor(transmitter, state, drive, last, out.advanced_s);
        out.end = plant.readings(m, now);
    }
    state.charge = m.charge;
    state.winding_c = m.winding_c;
    state.electronics_c = m.electronics_c;
    if (which) {
        out.crossing = static_cast<Crossing>(*which);
        if (*out.crossing == Crossing::battery_empty ||
            (*out.crossing == Crossing::battery_cutoff && opens)) {
            state.cut_off = true;
            out.end = read(transmitter, state, drive);
        }
    }
    return out;
}

}  // namespace ampturn::model::transmitter
