#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "scheduler/base/version.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::weigh {

using nlohmann::json;

namespace {

json point_json(const Choices& choices, const Weighed& weighed, const FrontPoint& point) {
    json steps = json::array(), pieces = json::array(), capacitors = json::array();
    for (std::size_t i = 0; i < point.sheet.rows.size(); ++i) {
        const transmitter::TransmitterRow& r = point.sheet.rows[i];
        const transmitter::TransmitterPoint& p = r.chosen;
        steps.push_back(
            {{"loop", name_of(r.loop)},
             {"frequency_hz", r.frequency_hz},
             {"turns", p.turns},
             {"capacitance_f", p.capacitor > 0 ? json(p.capacitance_f) : json(nullptr)},
             {"fundamental_a_peak", p.point.current.fundamental_peak_a},
             {"moment_a_m2_peak", p.point.moment_peak_a_m2},
             {"capacitor_v_peak", p.capacitor > 0 ? json(p.point.current.capacitor_peak_v) : json(nullptr)},
             {"battery_w", p.point.power.battery_w},
             {"steady_winding_c", p.steady_winding_c ? json(*p.steady_winding_c) : json(nullptr)},
             {"limited_by", name_of(point.design.steps[i].limited_by)}});
    }
    for (const CarriedPiece& piece : point.pieces)
        pieces.push_back({{"name", piece.name}, {"kg", piece.kg}, {"count", piece.count}});
    for (const int i : point.design.bank) {
        const JoinedCapacitor& c = weighed.joined[static_cast<std::size_t>(i)];
        capacitors.push_back({{"name", choices.capacitors[static_cast<std::size_t>(c.kind)].name},
                              {"in_series", c.in_series},
                              {"in_parallel", c.in_parallel},
                              {"capacitance_f", c.capacitance_f},
                              {"rated_v_peak", c.rated_v_peak}});
    }
    return {{"moment_a_m2", point.design.worth.moment_a_m2},
            {"weight_kg", point.design.worth.weight_kg},
            {"watt_hours", point.design.worth.watt_hours},
            {"used_wh", point.design.used_wh},
            {"carried_wh", point.design.carried_wh},
            {"loads", point.design.loads},
            {"turns", point.plan.loop_a.turns},
            {"taps", point.plan.loop_a.taps},
            {"wire_area_mm2", point.plan.loop_a.wire_area_mm2},
            {"bus_v", point.sheet.rows.front().chosen.point.bus_v},
            {"battery", battery_words(point)},
            {"transport", point.transport.text()},
            {"un_number", point.transport.un_number},
            {"loop_to_ground_v_rms", point.sheet.keep_out.loop_to_ground_v_rms},
            {"capacitors", capacitors},
            {"pieces", pieces},
            {"steps", steps}};
}

}  // namespace

json weigh_json(const plan::Plan& plan, const Choices& choices, const Weighed& weighed) {
    json front = json::array(), stopped = json::object();
    for (const FrontPoint& point : weighed.front) front.push_back(point_json(choices, weighed, point));
    for (std::size_t i = 0; i < stops.size(); ++i) stopped[name_of(stops[i])] = weighed.stopped[i];
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"choices", choices.path},
            {"invented", plan.survey.invented},
            {"moment", moment_words(choices, weighed)},
            {"watt_hours", watt_hours_words(choices)},
            {"frequencies_hz", weighed.frequencies_hz},
            {"senders", weighed.senders},
            {"designs", weighed.designs},
            {"exhaustive", weighed.exhaustive()},
            {"stopped", stopped},
            {"front", front},
            {"chosen", weighed.chosen + 1},
            {"cautions", cautions_of(choices, weighed.front[weighed.chosen])}};
}

}  // namespace ampturn::weigh
