#include <cmath>

#include "model/base/constants.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/wire.hpp"
#include "scheduler/reference/reference_case_runners.hpp"
#include "scheduler/reference/thin_wire.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

std::vector<model::loop::LoopPoint> points_of(const json& list) {
    std::vector<model::loop::LoopPoint> out;
    for (const json& p : list)
        out.push_back(
            {p.at(0).get<double>(), p.at(1).get<double>(), p.size() > 2 ? p.at(2).get<double>() : 0.0});
    return out;
}

std::vector<model::loop::TurnPosition> turns_of(const json& in) {
    std::vector<model::loop::TurnPosition> out;
    for (const json& p : in.at("turn_positions_m"))
        out.push_back({p.at(0).get<double>(), p.at(1).get<double>()});
    return out;
}

// Vertices where they are given, else the named shape from its dimensions.
model::loop::LoopOutline outline_of(const json& in) {
    const auto number = [&in](const char* key) { return in.at(key).get<double>(); };
    if (in.contains("vertices_m")) {
        model::loop::LoopOutline o;
        o.vertices = points_of(in.at("vertices_m"));
        return o;
    }
    const std::string shape = in.at("shape").get<std::string>();
    if (shape == "square" && in.contains("side_m")) return model::loop::square_outline(number("side_m"));
    if (shape == "square" || shape == "rectangle")
        return model::loop::rectangle_outline(number("width_m"), number("height_m"));
    if (shape == "rhombus") return model::loop::rhombus_outline(number("diagonal1_m"), number("diagonal2_m"));
    if (shape == "equilateral_triangle") return model::loop::regular_polygon_outline(3, number("side_m"));
    if (shape == "regular_polygon")
        return model::loop::regular_polygon_outline(whole_input(in, "sides"), number("side_m"));
    if (shape == "triangle" || shape == "isosceles_triangle")
        return model::loop::triangle_outline(number("base_m"), number("height_m"));
    if (shape == "circle") return model::loop::circle_outline(number("radius_m"));
    unknown_word("shape", shape,
                 "square, rectangle, rhombus, equilateral_triangle, regular_polygon, triangle, "
                 "isosceles_triangle or circle");
}

CaseOutputs circle_single_turn(const json& in, const json&) {
    const double radius = in.at("radius_m").get<double>();
    const double wire = in.at("wire_radius_m").get<double>();
    const auto circle = model::loop::circle_outline(radius);
    return {json{{"L_uniform_current_H", ring_inductance_h(radius, wire)},
                 {"L_surface_current_thin_H", self_inductance_thin_wire_h(circle, wire)},
                 {"L_neumann_dc_H", model::loop::self_inductance_h(circle, model::loop::wire_gmr_m(wire, 1))},
                 {"L_neumann_hf_H", model::loop::self_inductance_h(circle, model::loop::wire_gmr_m(wire, 0))},
                 {"area_m2", circle.area_m2()}},
            {}};
}

CaseOutputs coaxial_circles(const json& in, const json&) {
    return {json{{"M_H", model::loop::coaxial_circles_mutual_h(in.at("radius1_m").get<double>(),
                                                               in.at("radius2_m").get<double>(),
                                                               in.at("distance_m").get<double>())}},
            {}};
}

CaseOutputs polygon_self(const json& in, const json&) {
    const model::loop::LoopOutline outline = outline_of(in);
    const auto turns = turns_of(in);
    const double wire = in.at("wire_radius_m").get<double>();
    const auto n = static_cast<double>(turns.size());
    const double dc = model::loop::bundle_gmr_m(turns, model::loop::wire_gmr_m(wire, 1));
    const double hf = model::loop::bundle_gmr_m(turns, model::loop::wire_gmr_m(wire, 0));
    return {json{{"gmr_dc_m", dc},
                 {"gmr_hf_m", hf},
                 {"L_neumann_dc_H", n * n * model::loop::self_inductance_h(outline, dc)},
                 {"L_neumann_hf_H", n * n * model::loop::self_inductance_h(outline, hf)},
                 {"L_thin_wire_dc_H", n * n * self_inductance_thin_wire_h(outline, dc)},
                 {"L_thin_wire_hf_H", n * n * self_inductance_thin_wire_h(outline, hf)},
                 {"area_m2", outline.area_m2()},
                 {"perimeter_m", outline.perimeter_m()},
                 {"wire_length_m", n * outline.perimeter_m()},
                 {"moment_per_A_m2", n * outline.area_m2()}},
            {}};
}

// The outline with every side moved outwards by u and the whole by v along the normal;
// vertices anticlockwise about the normal.
std::vector<model::loop::LoopPoint> offset_outline(const model::loop::LoopOutline& outline,
                                                   const model::loop::TurnPosition& at) {
    const auto& v = outline.vertices;
    const model::loop::LoopPoint n = outline.normal();
    std::vector<model::loop::LoopPoint> out;
    for (std::size_t i = 0; i < v.size(); ++i) {
        const auto outward = [&](const model::loop::LoopPoint& a, const model::loop::LoopPoint& b) {
            const double x = b.x_m - a.x_m, y = b.y_m - a.y_m, z = b.z_m - a.z_m;
            const double s = std::sqrt(x * x + y * y + z * z);
            return model::loop::LoopPoint{(y * n.z_m - z * n.y_m) / s, (z * n.x_m - x * n.z_m) / s,
                                          (x * n.y_m - y * n.x_m) / s};
        };
        const model::loop::LoopPoint e = outward(v[(i + v.size() - 1) % v.size()], v[i]);
        const model::loop::LoopPoint f = outward(v[i], v[(i + 1) % v.size()]);
        const double share = at.outward_m / (1 + e.x_m * f.x_m + e.y_m * f.y_m + e.z_m * f.z_m);
        out.push_back({v[i].x_m + share * (e.x_m + f.x_m) + at.along_normal_m * n.x_m,
                       v[i].y_m + share * (e.y_m + f.y_m) + at.along_normal_m * n.y_m,
                       v[i].z_m + share * (e.z_m + f.z_m) + at.along_normal_m * n.z_m});
    }
    return out;
}

CaseOutputs bundle_check(const json& in, const json&) {
    const model::loop::LoopOutline outline = outline_of(in);
    const auto turns = turns_of(in);
    const double own = model::loop::wire_gmr_m(in.at("wire_radius_m").get<double>(), 1);
    double pairs = 0;
    for (std::size_t i = 0; i < turns.size(); ++i) {
        const auto first = offset_outline(outline, turns[i]);
        model::loop::LoopOutline itself;
        itself.vertices = first;
        pairs += model::loop::self_inductance_h(itself, own);
        for (std::size_t j = i + 1; j < turns.size(); ++j)
            pairs += 2 * model::loop::polygon_mutual_h(first, offset_outline(outline, turns[j]));
    }
    const auto n = static_cast<double>(turns.size());
    const double by_gmr =
        n * n * model::loop::self_inductance_h(outline, model::loop::bundle_gmr_m(turns, own));
    return {json{{"L_all_turn_pairs_H", pairs},
                 {"L_gmr_H", by_gmr},
                 {"gmr_over_all_pairs_minus_1", by_gmr / pairs - 1}},
            {}};
}

// Upright plane figures about the vertical axis: (along, height) turned to an azimuth, shifted.
std::vector<model::loop::LoopPoint> upright(const std::vector<std::pair<double, double>>& figure,
                                            double angle_deg, double x_m, double y_m) {
    // Quarter turns exactly, so that what is zero by symmetry comes out as zero.
    double c = std::cos(angle_deg * model::pi / 180);
    double s = std::sin(angle_deg * model::pi / 180);
    if (std::fmod(std::abs(angle_deg), 180.0) == 90.0) c = 0;
    if (std::fmod(std::abs(angle_deg), 180.0) == 0.0) s = 0;
    std::vector<model::loop::LoopPoint> out;
    for (const auto& [along, height] : figure) out.push_back({x_m + along * c, y_m + along * s, height});
    return out;
}
std::vector<std::pair<double, double>> rectangle(double width, double height) {
    return {{-width / 2, -height / 2},
            {width / 2, -height / 2},
            {width / 2, height / 2},
            {-width / 2, height / 2}};
}

double natural_inductance_h(const std::vector<model::loop::LoopPoint>& a,
                            const std::vector<model::loop::LoopPoint>& b, double gmr_m) {
    model::loop::LoopOutline first, second;
    first.vertices = a;
    second.vertices = b;
    return std::sqrt(model::loop::self_inductance_h(first, gmr_m) *
                     model::loop::self_inductance_h(second, gmr_m));
}

CaseOutputs mutual_of(const std::vector<model::loop::LoopPoint>& one,
                      const std::vector<model::loop::LoopPoint>& two, const json& in) {
    const double turns = number_or(in, "turns_each", 1);
    const double mutual = turns * turns * model::loop::polygon_mutual_h(one, two);
    const double gmr = number_or(in, "gmr_for_k_m", 0.01);
    const double natural = turns * turns * natural_inductance_h(one, two, gmr);
    return {json{{"M_H", mutual}, {"coupling_k", mutual / natural}}, {{"M_H", natural}, {"coupling_k", 1.0}}};
}

CaseOutputs crossed_rectangles(const json& in, const json&) {
    const auto one = rectangle(in.at("loop1_width_m").get<double>(), in.at("loop1_height_m").get<double>());
    const auto two = rectangle(in.at("loop2_width_m").get<double>(), in.at("loop2_height_m").get<double>());
    double x = 0, y = 0;
    if (in.contains("loop2_centre_offset_xy_m")) {
        x = in.at("loop2_centre_offset_xy_m").at(0).get<double>();
        y = in.at("loop2_centre_offset_xy_m").at(1).get<double>();
    }
    return mutual_of(upright(one, 0, 0, 0), upright(two, in.at("angle_deg").get<double>(), x, y), in);
}

CaseOutputs crossed_triangles(const json& in, const json&) {
    const auto triangle = [&in](const std::string& which) {
        const double half = in.at(which + "_base_m").get<double>() / 2;
        const double base = in.at(which + "_base_z_m").get<double>();
        return std::vector<std::pair<double, double>>{
            {-half, base}, {half, base}, {0, in.at(which + "_apex_z_m").get<double>()}};
    };
    return mutual_of(upright(triangle("loop1"), 0, 0, 0),
                     upright(triangle("loop2"), in.at("angle_deg").get<double>(), 0, 0), in);
}

CaseOutputs inductance_vs_frequency(const json& in, const json&) {
    const model::loop::LoopOutline outline = outline_of(in);
    const auto turns = turns_of(in);
    const model::loop::Wire wire = in.contains("awg")
                                       ? model::loop::wire_of_gauge(in.at("awg").get<double>())
                                       : model::loop::wire_of_area(in.at("area_mm2").get<double>() * 1e-6);
    const double t = in.at("temperature_C").get<double>();
    const auto n = static_cast<double>(turns.size());
    json table = json::array();
    for (const double f : in.at("frequencies_Hz")) {
        const double x = model::loop::wire_effect(wire, t, f).internal_inductance_ratio;
        const double g = model::loop::bundle_gmr_m(turns, model::loop::wire_gmr_m(wire.radius_m(), x));
        table.push_back({{"frequency_Hz", f},
                         {"lint_over_lint_dc", x},
                         {"gmr_m", g},
                         {"L_H", n * n * model::loop::self_inductance_h(outline, g)}});
    }
    return {json{{"table", table}}, {}};
}

}  // namespace

void add_inductance_runners(CaseRunners& runners) {
    constexpr Tolerance loose{.relative = 1e-4};
    const std::vector<KeyTolerance> near_one{
        {.start = "gmr_over_all_pairs_minus_1", .end = "", .tolerance = {.relative = 0, .absolute = 1e-6}}};
    runners["circle_single_turn"] = {.compute = circle_single_turn};
    runners["coaxial_circles_mutual"] = {.compute = coaxial_circles};
    runners["polygon_self"] = {.compute = polygon_self, .tolerance = loose, .exceptions = near_one};
    runners["bundle_check"] = {.compute = bundle_check, .tolerance = loose, .exceptions = near_one};
    runners["crossed_rectangles_mutual"] = {.compute = crossed_rectangles};
    runners["offset_crossed_rectangles_mutual"] = {.compute = crossed_rectangles};
    runners["crossed_triangles_mutual"] = {.compute = crossed_triangles};
    runners["inductance_vs_frequency"] = {
        .compute = inductance_vs_frequency, .tolerance = loose, .exceptions = near_one};
}

}  // namespace ampturn::reference
