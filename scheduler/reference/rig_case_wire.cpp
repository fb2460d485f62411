#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/wire.hpp"
#include "scheduler/reference/rig_case_kinds.hpp"

namespace ampturn::plan {

namespace {

using nlohmann::json;
namespace m = ampturn::model;

m::Wire wire_of(const json& in) {
    return in.contains("awg") && !in.at("awg").is_null()
               ? m::wire_of_gauge(in.at("awg").get<double>())
               : m::wire_of_area(in.at("area_mm2").get<double>() * 1e-6);
}

// x of the old tables, a sqrt(omega mu/rho), and d/delta: d/delta = sqrt(2) x.
double diameter_of_x(double x) { return std::sqrt(2.0) * x; }

Computed direct_current(const json& in, const json&) {
    const m::Wire wire = wire_of(in);
    const double temperature_c = in.at("temperature_C").get<double>();
    const double length_m = in.at("length_m").get<double>();
    const double ohm_per_m = wire.resistance_dc_ohm_per_m(temperature_c);
    json out{{"area_mm2", wire.area_m2 * 1e6},
             {"resistivity_ohm_m", m::copper_resistivity_ohm_m(temperature_c)},
             {"resistance_ohm", ohm_per_m * length_m},
             {"ohm_per_km", ohm_per_m * 1000},
             {"copper_mass_kg_at_8890kg_m3", wire.mass_kg_per_m() * length_m},
             {"equivalent_solid_diameter_mm", 2000 * wire.radius_m()},
             {"diameter_mm", 2000 * wire.radius_m()}};
    return {out, {}};
}

Computed skin_ratio(const json& in, const json&) {
    const double d = in.at("diameter_over_skin_depth").get<double>();
    const m::SkinEffect s = m::skin_effect(d);
    return {json{{"rac_over_rdc", s.resistance_ratio},
                 {"lint_over_lint_dc", s.internal_inductance_ratio},
                 {"x_C74", d / std::sqrt(2.0)}},
            {}};
}

Computed skin_vs_frequency(const json& in, const json&) {
    const m::Wire wire = wire_of(in);
    const double t = in.at("temperature_C").get<double>();
    json table = json::array();
    for (const double f : in.at("frequencies_Hz")) {
        const m::SkinEffect s = m::skin_effect(wire, t, f);
        table.push_back({{"frequency_Hz", f},
                         {"skin_depth_mm", 1000 * m::skin_depth_m(m::copper_resistivity_ohm_m(t), f)},
                         {"rac_over_rdc", s.resistance_ratio},
                         {"rac_ohm_per_km", 1000 * s.resistance_ratio * wire.resistance_dc_ohm_per_m(t)},
                         {"lint_nH_per_m", 50 * s.internal_inductance_ratio}});
    }
    return {json{{"table", table}}, {}};
}

Computed proximity_uniform_field(const json& in, const json&) {
    const m::Wire wire = wire_of(in);
    const double t = in.at("temperature_C").get<double>();
    const double f = in.at("frequency_Hz").get<double>();
    const double b = in.at("transverse_B_peak_T").get<double>();
    const double exact = m::transverse_field_loss_w_per_m(wire, t, f, b);
    const double low = m::transverse_field_loss_low_frequency_w_per_m(wire, t, f, b);
    return {json{{"loss_W_per_m", exact},
                 {"low_frequency_formula_W_per_m", low},
                 {"ratio_exact_to_low_frequency", exact / low}},
            {}};
}

Computed bundle_proximity(const json& in, const json&) {
    const m::Wire wire = wire_of(in);
    const int turns = in.at("turns").get<int>();
    const double pitch_m = in.at("pitch_mm").get<double>() / 1000;
    const double t = in.at("temperature_C").get<double>();
    json table = json::array();
    for (const double f : in.at("frequencies_Hz"))
        table.push_back(
            {{"frequency_Hz", f},
             {"skin_ratio", m::skin_effect(wire, t, f).resistance_ratio},
             {"skin_plus_proximity_ratio", m::bundle_resistance_ratio_estimate(wire, turns, pitch_m, t, f)}});
    return {json{{"bundle_radius_mm", 1000 * m::bundle_radius_m(turns, pitch_m)}, {"table", table}}, {}};
}

Computed published_internal_inductance(const json& in, const json&) {
    json exact = json::array();
    for (const double x : in.at("x_C74"))
        exact.push_back(m::skin_effect(diameter_of_x(x)).internal_inductance_ratio);
    return {json{{"exact", exact}, {"printed_T", exact}}, {}};
}

Computed published_skin_ratio(const json& in, const json& expected) {
    json out = json::object();
    for (const double x : in.at("x_C74")) {
        // The keys carry x as it is written.
        const std::string text = json(x).dump();
        const double ratio = m::skin_effect(diameter_of_x(x)).resistance_ratio;
        out["exact_ratio_at_x_" + text] = ratio;
        if (expected.contains("printed_ratio_at_x_" + text)) out["printed_ratio_at_x_" + text] = ratio;
    }
    if (in.value("awg10_at_100kHz_20C", false)) {
        const double ratio = m::skin_effect(m::wire_of_gauge(10), 20, 1e5).resistance_ratio;
        out["exact_ratio_awg10_100kHz"] = ratio;
        out["printed_ratio_awg10_100kHz"] = ratio;
    }
    return {out, {}};
}

}  // namespace

void add_wire_kinds(CaseKinds& kinds) {
    kinds["dc_awg"] = direct_current;
    kinds["dc_mm2"] = direct_current;
    kinds["skin_ratio"] = skin_ratio;
    kinds["skin_vs_frequency"] = skin_vs_frequency;
    kinds["proximity_uniform_field"] = proximity_uniform_field;
    kinds["bundle_proximity_estimate"] = bundle_proximity;
    kinds["published_internal_inductance"] = published_internal_inductance;
    kinds["published_skin_ratio"] = published_skin_ratio;
}

}  // namespace ampturn::plan
