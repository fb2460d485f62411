#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::weigh {

namespace {

std::string number(double v, int digits = 4) { return base::significant(v, digits); }

}  // namespace

SenderTable front_table(const Choices& choices, const Weighed& weighed) {
    SenderTable out{.columns = {{"sender", true},
                                {"moment A m2", true},
                                {"kg", true},
                                {"Wh", true},
                                {"loads", true},
                                {"turns"},
                                {"wire mm2", true},
                                {"area m2", true},
                                {"bus V", true},
                                {"battery"},
                                {"capacitors"}}};
    for (std::size_t i = 0; i < weighed.front.size(); ++i) {
        const FrontPoint& p = weighed.front[i];
        const Worth& w = p.design.worth;
        out.rows.push_back(
            {fmt::format("{}{}", i == weighed.chosen ? "> " : "", i + 1), number(w.moment_a_m2),
             number(w.weight_kg), number(w.watt_hours), std::to_string(p.design.loads), winding_words(p),
             number(p.plan.loop_a.wire_area_mm2, 3), number(plan::outline_of(p.plan.loop_a).area_m2(), 3),
             number(p.sheet.rows.front().chosen.point.bus_v, 3), battery_words(p),
             capacitors_words(choices, weighed, p)});
    }
    return out;
}

SenderTable step_table(const FrontPoint& point) {
    SenderTable out{.columns = {{"step", true},
                                {"Hz", true},
                                {"turns", true},
                                {"C nF", true},
                                {"A peak", true},
                                {"moment A m2", true},
                                {"C volts", true},
                                {"battery W", true},
                                {"winding C", true},
                                {"limited by"}}};
    for (std::size_t i = 0; i < point.sheet.rows.size(); ++i) {
        const transmitter::TransmitterRow& r = point.sheet.rows[i];
        const transmitter::TransmitterPoint& p = r.chosen;
        out.rows.push_back({fmt::format("{}{}", r.step_number, name_of(r.loop)), number(r.frequency_hz, 5),
                            std::to_string(p.turns),
                            p.capacitor > 0 ? base::brief(p.capacitance_f * 1e9, 4) : "-",
                            number(p.point.current.fundamental_peak_a, 3), number(p.point.moment_peak_a_m2),
                            p.capacitor > 0 ? number(p.point.current.capacitor_peak_v, 3) : "-",
                            number(p.point.power.battery_w, 3),
                            p.steady_winding_c ? number(*p.steady_winding_c, 3) : "runaway",
                            name_of(point.design.steps[i].limited_by)});
    }
    return out;
}

}  // namespace ampturn::weigh
