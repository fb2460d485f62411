#include <cmath>

#include "model/base/constants.hpp"
#include "model/bridge/bridge.hpp"
#include "model/loop/exposure.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

constexpr std::pair<model::loop::ExposureGroup, const char*> groups[] = {
    {model::loop::ExposureGroup::general_public, "general_public"},
    {model::loop::ExposureGroup::occupational, "occupational"}};

std::vector<model::loop::LoopPoint> vertices_of(const json& in) {
    if (!in.contains("vertices_m"))
        return model::loop::rectangle_outline(in.at("width_m").get<double>(), in.at("height_m").get<double>())
            .vertices;
    std::vector<model::loop::LoopPoint> out;
    for (const json& p : in.at("vertices_m"))
        out.push_back({p.at(0).get<double>(), p.at(1).get<double>(), p.at(2).get<double>()});
    return out;
}

// Index of the side whose middle lies farthest along +x.
std::size_t right_side(const std::vector<model::loop::LoopPoint>& v) {
    std::size_t best = 0;
    for (std::size_t i = 1; i < v.size(); ++i)
        if (v[i].x_m + v[(i + 1) % v.size()].x_m > v[best].x_m + v[(best + 1) % v.size()].x_m) best = i;
    return best;
}

CaseOutputs field(const json& in, const json&) {
    const auto v = vertices_of(in);
    const double ampere_turns = in.at("ampere_turns_rms").get<double>();
    json vectors = json::array(), magnitudes = json::array();
    for (const json& p : in.at("points_m")) {
        const model::loop::LoopPoint at{p.at(0).get<double>(), p.at(1).get<double>(), p.at(2).get<double>()};
        const model::loop::LoopPoint b = model::loop::polygon_field_t(v, ampere_turns, at);
        vectors.push_back({b.x_m, b.y_m, b.z_m});
        magnitudes.push_back(model::loop::polygon_field_magnitude_t(v, ampere_turns, at));
    }
    return {json{{"B_xyz_T", vectors}, {"B_magnitude_T", magnitudes}}, {}};
}

CaseOutputs icnirp_levels(const json& in, const json&) {
    json general = json::array(), occupational = json::array();
    for (const double f : in.at("frequencies_Hz")) {
        general.push_back(model::loop::icnirp2010_level_t(model::loop::ExposureGroup::general_public, f));
        occupational.push_back(model::loop::icnirp2010_level_t(model::loop::ExposureGroup::occupational, f));
    }
    return {json{{"general_public_T", general}, {"occupational_T", occupational}}, {}};
}

CaseOutputs safe_distance(const json& in, const json&) {
    const auto v = vertices_of(in);
    const double turns = in.at("turns").get<double>();
    const double rms = in.at("I_rms_A").get<double>();
    model::loop::LoopOutline outline;
    outline.vertices = v;
    json table = json::array();
    for (const double f : in.at("frequencies_Hz")) {
        json row{{"frequency_Hz", f}};
        for (const auto& [group, name] : groups) {
            const double level = model::loop::icnirp2010_level_t(group, f);
            const model::loop::LevelDistances d =
                model::loop::level_distances(v, right_side(v), level / (turns * rms));
            const std::string prefix = name;
            row[prefix + "_level_T"] = level;
            row[prefix + "_axis_distance_m"] = d.axis_m;
            row[prefix + "_side_distance_m"] = d.side_m;
            row[prefix + "_inside_distance_m"] = or_null(d.inside_m);
            row[prefix + "_straight_wire_estimate_m"] =
                model::mu0_h_per_m * turns * rms / (2 * model::pi * level);
        }
        table.push_back(row);
    }
    return {json{{"B_centre_T", model::loop::polygon_field_magnitude_t(v, turns * rms, {0, 0, 0})},
                 {"moment_rms_A_m2", turns * rms * outline.area_m2()},
                 {"table", table}},
            {}};
}

CaseOutputs harmonic_exposure_sum(const json& in, const json&) {
    const auto v = vertices_of(in);
    const double turns = in.at("turns").get<double>();
    const double f = in.at("frequency_Hz").get<double>();
    const double top = in.at("harmonics_up_to_Hz").get<double>();
    if (!(f > 0) || top / f > 1e6)
        throw base::InputError({{},
                                {},
                                "frequency_Hz",
                                in.at("frequency_Hz").dump(),
                                "a millionth of harmonics_up_to_Hz or more"});
    const model::bridge::BridgeLoad load{in.at("R_ohm").get<double>(), in.at("L_H").get<double>()};
    std::vector<model::loop::CurrentLine> lines;
    for (int n = 1; n == 1 || n * f <= top; n += 2)
        lines.push_back({n * f, model::bridge::bridge_voltage_harmonic_v(in.at("bus_V").get<double>(), 1, n) /
                                    model::bridge::load_impedance_ohm(load, n * f) / std::sqrt(2.0)});
    for (auto& line : lines) line.rms_a = std::abs(line.rms_a);
    const double centre_per_ampere = model::loop::polygon_field_magnitude_t(v, turns, {0, 0, 0});
    json out{{"I1_rms_A", lines.front().rms_a}};
    for (const auto& [group, name] : groups) {
        const std::string prefix = name;
        const model::loop::ExposureLevels alone{.set = model::loop::ExposureLevels::Set::icnirp_2010};
        const double all = model::loop::exposure_sum_a_per_t(alone, group, lines);
        const double first = model::loop::exposure_sum_a_per_t(alone, group, std::span(lines).first(1));
        out[prefix + "_index_centre"] = all * centre_per_ampere;
        out[prefix + "_fundamental_only_index_centre"] = first * centre_per_ampere;
        out[prefix + "_side_distance_all_harmonics_m"] =
            model::loop::level_distances(v, right_side(v), 1 / (turns * all)).side_m;
    }
    return {out, {}};
}

}  // namespace

void add_exposure_runners(CaseRunners& runners) {
    const std::vector<KeyTolerance> distances{{.start = "", .end = "_m", .tolerance = {.relative = 1e-5}}};
    runners["field"] = {.compute = field};
    runners["icnirp_levels"] = {.compute = icnirp_levels};
    runners["safe_distance"] = {.compute = safe_distance, .exceptions = distances};
    runners["harmonic_exposure_sum"] = {.compute = harmonic_exposure_sum, .exceptions = distances};
}

}  // namespace ampturn::reference
