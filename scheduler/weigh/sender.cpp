#include "scheduler/weigh/sender.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/loop/wire.hpp"
#include "model/transmitter/battery.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::weigh {

namespace {

template <class T>
const T* chosen(const std::vector<T>& list, int index) {
    return index < 0 ? nullptr : &list[static_cast<std::size_t>(index)];
}

std::vector<int> indices(std::size_t count) {
    if (count == 0) return {-1};
    std::vector<int> out;
    for (std::size_t i = 0; i < count; ++i) out.push_back(static_cast<int>(i));
    return out;
}

std::size_t size_count(const Choices& choices) {
    return choices.loop.side_m.size() + choices.loop.factor.size();  // one of them is empty
}

double size_factor(const plan::Plan& plan, const Choices& choices, int size) {
    if (const double* side_m = choices.loop.side_m.empty() ? nullptr : chosen(choices.loop.side_m, size))
        return *side_m / plan.loop_a.side_m;
    const double* factor = chosen(choices.loop.factor, size);
    return factor ? *factor : 1;
}

double bundle_surface_m2(const plan::Loop& loop) {
    return plan::outline_of(loop).perimeter_m() * model::loop::bundle_radius_m(loop.turns, loop.turn_pitch_m);
}

plan::Loop changed_loop(plan::Loop loop, const Winding* winding, const WireChoice* wire, double factor) {
    const double drop_m = plan::loop_drop_m(loop);
    if (winding) {
        loop.turns = winding->turns;
        loop.taps = winding->taps;
    }
    if (wire) {
        loop.wire_awg.reset();
        loop.wire_area_mm2 = wire->area_mm2;
        loop.conductor = wire->conductor;
        loop.turn_pitch_m = std::max(loop.turn_pitch_m, insulated_diameter_m(*wire));
    }
    if (factor == 1) return loop;
    for (double* length_m : {&loop.side_m, &loop.width_m, &loop.height_m, &loop.diameter_m})
        *length_m *= factor;
    for (auto& vertex : loop.vertices_m)
        for (double& coordinate_m : vertex) coordinate_m *= factor;
    loop.centre_height_m += plan::loop_drop_m(loop) - drop_m;
    return loop;
}

void change_battery(plan::Battery& battery, const BatteryChoice& choice) {
    battery.chemistry = choice.chemistry;
    battery.capacity_ah = choice.capacity_ah;
    battery.cells_series = choice.cells_series;
    battery.in_series = choice.in_series;
    battery.in_parallel = choice.in_parallel;
    battery.sets_carried = choice.sets_carried;
    // By chemistry: what the plan says of its own battery does not hold for another.
    battery.kinetic_c.reset();
    battery.kinetic_k_per_h.reset();
    battery.one_hour_fraction.reset();
    battery.cell_resistance_ohm.reset();
    battery.ocv_state_of_charge.clear();
    battery.ocv_cell_v.clear();
    battery.state_of_health.resize(1);
    battery.state_of_charge.resize(1);
    battery.cut_off_v = choice.cut_off_cell_v.value_or(setup::usual_cut_off_cell_v(choice.chemistry)) *
                        battery.cells() * battery.in_series;
}

}  // namespace

std::size_t sender_count(const Choices& choices) {
    std::size_t out = 1;
    for (const std::size_t count : {choices.windings.size(), choices.wires.size(), size_count(choices),
                                    choices.driver.bus_v.size(), choices.batteries.size()})
        out *= std::max<std::size_t>(1, count);
    return out;
}

std::vector<Sender> senders_of(const Choices& choices) {
    std::vector<Sender> out;
    for (const int winding : indices(choices.windings.size()))
        for (const int wire : indices(choices.wires.size()))
            for (const int size : indices(size_count(choices)))
                for (const int bus : indices(choices.driver.bus_v.size()))
                    for (const int battery : indices(choices.batteries.size()))
                        out.push_back({winding, wire, size, bus, battery});
    return out;
}

plan::Plan plan_of(const plan::Plan& plan, const Choices& choices, const Sender& sender) {
    plan::Plan out = plan;
    const Winding* winding = chosen(choices.windings, sender.winding);
    const WireChoice* wire = chosen(choices.wires, sender.wire);
    const double factor = size_factor(plan, choices, sender.size);
    out.loop_a = changed_loop(plan.loop_a, winding, wire, factor);
    out.loop_b = changed_loop(plan.loop_b, winding, wire, factor);
    if (winding || wire || factor != 1) {
        out.thermal.winding_to_air_k_per_w *= bundle_surface_m2(plan.loop_a) / bundle_surface_m2(out.loop_a);
        out.thermal.winding_heat_j_per_k.reset();  // that of the metal
    }
    if (const double* bus_v = chosen(choices.driver.bus_v, sender.bus)) out.driver.bus_v = *bus_v;
    if (const BatteryChoice* battery = chosen(choices.batteries, sender.battery))
        change_battery(out.battery, *battery);
    const Limits& limits = choices.limits;
    if (limits.winding_c)
        out.thermal.winding_limit_c = std::min(out.thermal.winding_limit_c, *limits.winding_c);
    if (limits.electronics_c)
        out.thermal.electronics_limit_c = std::min(out.thermal.electronics_limit_c, *limits.electronics_c);
    out.driver.capacitors.capacitance_f.clear();
    out.driver.capacitors.rated_v_peak.clear();
    out.sweep.steps = steps_of(out, choices);
    if (!choices.search.frequencies_hz.empty())
        for (plan::Station& station : out.stations) station.required_frequencies_hz.clear();
    return out;
}

std::vector<plan::Step> steps_of(const plan::Plan& plan, const Choices& choices) {
    const bool own = choices.search.frequencies_hz.empty();
    const std::vector<double> frequencies_hz =
        own ? plan.sweep.frequencies_hz() : choices.search.frequencies_hz;
    std::vector<plan::Step> out;
    for (const double frequency_hz : frequencies_hz)
        for (const model::loop::LoopSelection loop : model::loop::each_loop) {
            const auto like =
                std::find_if(plan.sweep.steps.begin(), plan.sweep.steps.end(),
                             [&](const plan::Step& s) { return s.frequency_hz == frequency_hz; });
            plan::Step step = like != plan.sweep.steps.end() ? *like : plan.sweep.steps.front();
            step.frequency_hz = frequency_hz;
            step.loop = loop;
            step.turns_in_use.reset();
            step.capacitor.reset();
            step.of_list = false;
            step.entry = static_cast<int>(out.size()) + 1;
            out.push_back(step);
        }
    return out;
}

BatteryChoice battery_of(const plan::Plan& plan, const Choices& choices, const Sender& sender) {
    const BatteryChoice* battery = chosen(choices.batteries, sender.battery);
    return battery ? *battery : battery_of_plan(plan.battery);
}

WireChoice wire_of(const plan::Plan& plan, const Choices& choices, const Sender& sender) {
    if (const WireChoice* wire = chosen(choices.wires, sender.wire)) return *wire;
    return {.area_mm2 = plan.loop_a.wire_area_mm2, .conductor = plan.loop_a.conductor};
}

std::vector<CarriedPiece> pieces_of(const plan::Plan& changed, const Choices& choices, const Sender& sender) {
    std::vector<CarriedPiece> out;
    for (const model::loop::LoopSelection which : model::loop::each_loop) {
        const plan::Loop& loop = changed.loop(which);
        WireChoice wire = wire_of(changed, choices, sender);
        if (sender.wire < 0) {
            wire.area_mm2 = loop.wire_area_mm2;
            wire.conductor = loop.conductor;
        }
        const double length_m = loop.turns * plan::outline_of(loop).perimeter_m() + 2 * loop.lead_length_m;
        out.push_back(
            {.name = fmt::format("wire of loop {}", name_of(which)), .kg = wire_kg_per_m(wire) * length_m});
    }
    const BatteryChoice battery = battery_of(changed, choices, sender);
    out.push_back({.name = "battery", .kg = battery_kg(battery), .count = batteries_carried(battery)});
    const double perimeter_m = plan::outline_of(changed.loop_a).perimeter_m();
    for (const Piece& piece : choices.pieces)
        out.push_back(
            {.name = piece.name, .kg = piece.kg + piece.kg_per_m * perimeter_m, .count = piece.count});
    return out;
}

plan::Plan read_again(const plan::Plan& plan) {
    return plan::file::parse_plan(plan::file::write_plan(plan), plan.source.path);
}

namespace {

void check_one(const plan::Plan& plan, const Choices& choices, const Sender& sender, const std::string& key) {
    try {
        read_again(plan_of(plan, choices, sender));
    } catch (const base::InputError& refused) {
        const base::InputProblem& first = refused.problems().front();
        throw choices.error(key, fmt::format("a plan with {} {}", first.key, first.found), first.allowed);
    }
}

}  // namespace

void check_choices(const plan::Plan& plan, const Choices& choices) {
    if (!choices.loop.side_m.empty() && !(plan.loop_a.side_m > 0))
        throw choices.error("loop.side_m", "sides for a loop without", "loop.factor with this shape");
    if (!choices.driver.bus_v.empty() && plan.driver.supply != plan::Supply::dc_dc)
        throw choices.error(
            "driver.bus_v", "volts of a converter",
            "a plan with driver.supply = \"dc_dc\"; else the batteries in series set the volts");
    if (!choices.capacitors.empty() && plan.driver.current_limit != plan::CurrentLimit::duty)
        throw choices.error("capacitor", "capacitors with a current limit other than by duty",
                            "a plan with driver.current_limit = \"duty\"");
    check_one(plan, choices, {}, "search.frequencies_hz");
    const auto each = [&](std::size_t count, int Sender::*member, const std::string& key) {
        for (std::size_t i = 0; i < count; ++i) {
            Sender sender;
            sender.*member = static_cast<int>(i);
            check_one(plan, choices, sender, fmt::format("{}[{}]", key, i + 1));
        }
    };
    each(choices.windings.size(), &Sender::winding, "winding");
    each(choices.wires.size(), &Sender::wire, "wire");
    each(size_count(choices), &Sender::size, choices.loop.side_m.empty() ? "loop.factor" : "loop.side_m");
    each(choices.driver.bus_v.size(), &Sender::bus, "driver.bus_v");
    each(choices.batteries.size(), &Sender::battery, "battery");
}

}  // namespace ampturn::weigh
