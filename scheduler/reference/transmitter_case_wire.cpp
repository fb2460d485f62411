#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/wire.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

model::loop::Wire wire_of(const json& in) {
    return in.contains("awg") && !in.at("awg").is_null()
               ? model::loop::wire_of_gauge(in.at("awg").get<double>())
               : model::loop::wire_of_area(in.at("area_mm2").get<double>() * 1e-6);
}

// x of the old tables, a sqrt(omega mu/rho), and d/delta: d/delta = sqrt(2) x.
double diameter_of_x(double x) { return std::sqrt(2.0) * x; }

CaseOutputs direct_current(const json& in, const json&) {
    const model::loop::Wire wire = wire_of(in);
    const double temperature_c = in.at("temperature_C").get<double>();
    const double length_m = in.at("length_m").get<double>();
    const double ohm_per_m = wire.resistance_dc_ohm_per_m(temperature_c);
    json out{{"area_mm2", wire.area_m2 * 1e6},
             {"resistivity_ohm_m", wire.resistivity_ohm_m(temperature_c)},
             {"resistance_ohm", ohm_per_m * length_m},
             {"ohm_per_km", ohm_per_m * 1000},
             {"copper_mass_kg_at_8890kg_m3", copper_density_kg_per_m3 * wire.area_m2 * length_m},
             {"equivalent_solid_diameter_mm", 2000 * wire.radius_m()},
             {"diameter_mm", 2000 * wire.radius_m()}};
    return {out, {}};
}

CaseOutputs skin_ratio(const json& in, const json&) {
    const double d = in.at("diameter_over_skin_depth").get<double>();
    const model::loop::SkinEffect s = model::loop::skin_effect(d);
    return {json{{"rac_over_rdc", s.resistance_ratio},
                 {"lint_over_lint_dc", s.internal_inductance_ratio},
                 {"x_C74", d / std::sqrt(2.0)}},
            {}};
}

CaseOutputs skin_vs_frequency(const json& in, const json&) {
    const model::loop::Wire wire = wire_of(in);
    const double t = in.at("temperature_C").get<double>();
    json table = json::array();
    for (const double f : in.at("frequencies_Hz")) {
        const model::loop::WireEffect s = model::loop::wire_effect(wire, t, f);
        table.push_back({{"frequency_Hz", f},
                         {"skin_depth_mm", 1000 * model::skin_depth_m(wire.resistivity_ohm_m(t), f)},
                         {"rac_over_rdc", s.resistance_ratio},
                         {"rac_ohm_per_km", 1000 * s.resistance_ratio * wire.resistance_dc_ohm_per_m(t)},
                         {"lint_nH_per_m", 50 * s.internal_inductance_ratio}});
    }
    return {json{{"table", table}}, {}};
}

CaseOutputs proximity_uniform_field(const json& in, const json&) {
    const model::loop::Wire wire = wire_of(in);
    const double t = in.at("temperature_C").get<double>();
    const double f = in.at("frequency_Hz").get<double>();
    const double b = in.at("transverse_B_peak_T").get<double>();
    const double exact = model::loop::wire_effect(wire, t, f).transverse_loss_w_per_m_t2 * b * b;
    // Low-frequency limit pi omega^2 B^2 a^4/(8 rho), Lammeraner & Stafl (1966), from memory.
    const double a = wire.strand_radius_m(), omega_b_a2 = 2 * model::pi * f * b * a * a;
    const double low = wire.strands * model::pi * omega_b_a2 * omega_b_a2 / (8 * wire.resistivity_ohm_m(t));
    return {json{{"loss_W_per_m", exact},
                 {"low_frequency_formula_W_per_m", low},
                 {"ratio_exact_to_low_frequency", exact / low}},
            {}};
}

CaseOutputs bundle_proximity(const json& in, const json&) {
    const model::loop::Wire wire = wire_of(in);
    const int turns = whole_input(in, "turns");
    const double pitch_m = in.at("pitch_mm").get<double>() / 1000;
    const double t = in.at("temperature_C").get<double>();
    json table = json::array();
    for (const double f : in.at("frequencies_Hz"))
        table.push_back({{"frequency_Hz", f},
                         {"skin_ratio", model::loop::wire_effect(wire, t, f).resistance_ratio},
                         {"skin_plus_proximity_ratio",
                          model::loop::bundle_effect_estimate(wire, turns, pitch_m, t, f).resistance_ratio}});
    return {json{{"bundle_radius_mm", 1000 * model::loop::bundle_radius_m(turns, pitch_m)}, {"table", table}},
            {}};
}

CaseOutputs published_internal_inductance(const json& in, const json&) {
    json exact = json::array();
    for (const double x : in.at("x_C74"))
        exact.push_back(model::loop::skin_effect(diameter_of_x(x)).internal_inductance_ratio);
    return {json{{"exact", exact}, {"printed_T", exact}}, {}};
}

CaseOutputs published_skin_ratio(const json& in, const json& expected) {
    json out = json::object();
    for (const double x : in.at("x_C74")) {
        // The keys carry x as it is written.
        const std::string text = json(x).dump();
        const double ratio = model::loop::skin_effect(diameter_of_x(x)).resistance_ratio;
        out["exact_ratio_at_x_" + text] = ratio;
        if (expected.contains("printed_ratio_at_x_" + text)) out["printed_ratio_at_x_" + text] = ratio;
    }
    if (in.value("awg10_at_100kHz_20C", false)) {
        const double ratio =
            model::loop::wire_effect(model::loop::wire_of_gauge(10), 20, 1e5).resistance_ratio;
        out["exact_ratio_awg10_100kHz"] = ratio;
        out["printed_ratio_awg10_100kHz"] = ratio;
    }
    return {out, {}};
}

}  // namespace

void add_wire_runners(CaseRunners& runners) {
    runners["dc_awg"] = {.compute = direct_current};
    runners["dc_mm2"] = {.compute = direct_current};
    runners["skin_ratio"] = {.compute = skin_ratio, .tolerance = {.relative = 1e-4}};
    runners["skin_vs_frequency"] = {.compute = skin_vs_frequency, .tolerance = {.relative = 1e-4}};
    runners["proximity_uniform_field"] = {.compute = proximity_uniform_field};
    runners["bundle_proximity_estimate"] = {.compute = bundle_proximity, .tolerance = {.relative = 1e-4}};
    runners["published_internal_inductance"] = {
        .compute = published_internal_inductance,
        // four printed decimals, the last may be off
        .exceptions = {{.start = "printed_T", .end = "", .tolerance = {.relative = 0, .absolute = 1.01e-4}}}};
    runners["published_skin_ratio"] = {
        .compute = published_skin_ratio,
        // as printed
        .exceptions = {
            {.start = "printed_ratio_at", .end = "", .tolerance = {.relative = 0, .absolute = 5.1e-5}},
            {.start = "printed_ratio_awg", .end = "", .tolerance = {.relative = 0, .absolute = 5.1e-3}}}};
}

}  // namespace ampturn::reference
