#include "scheduler/sheet/loop_sketch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "model/loop/loop.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::sheet {

namespace {

constexpr double width_px = 640, height_px = 230, from_above_px = 230, margin_px = 22;

struct Flat {
    double x, y;  // metres, y up
};

// The outline about its centre.
std::vector<Flat> about_centre(const plan::Loop& loop) {
    const model::loop::LoopOutline outline = plan::outline_of(loop);
    std::vector<Flat> out;
    if (outline.is_circle()) {
        constexpr int points = 72;
        for (int i = 0; i < points; ++i) {
            const double a = 2 * std::numbers::pi * i / points;
            out.push_back({outline.circle_radius_m * std::cos(a), outline.circle_radius_m * std::sin(a)});
        }
    } else {
        const model::loop::LoopPoint centre = outline.centroid();
        for (const model::loop::LoopPoint& v : outline.vertices)
            out.push_back({v.x_m - centre.x_m, v.y_m - centre.y_m});
    }
    out.push_back(out.front());
    return out;
}

std::string path_of(const std::vector<Flat>& points, double x_px, double y_px, double px_per_m) {
    std::string out;
    for (const Flat& p : points)
        out += fmt::format("{}{:.2f},{:.2f}", out.empty() ? "M" : "L", x_px + p.x * px_per_m,
                           y_px - p.y * px_per_m);
    return out + "Z";
}

std::string text_at(double x, double y, const std::string& text, const char* anchor = "middle") {
    return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>\n", x, y, anchor, text);
}

std::string metres(double value) { return base::brief(value, 3) + " m"; }

std::vector<Flat> from_above(const plan::Loop& loop, double azimuth_deg) {
    std::vector<Flat> out;
    for (const WirePoint& p : wire_of(loop, azimuth_deg)) out.push_back({p.east_m, p.north_m});
    return out;
}

double reach_of(const std::vector<Flat>& points) {
    double reach = 0;
    for (const Flat& p : points) reach = std::max({reach, std::abs(p.x), std::abs(p.y)});
    return reach;
}

std::string plan_view(const plan::Plan& plan, const SketchedSite& site) {
    const std::vector<Flat> a = from_above(plan.loop_a, site.azimuth_a_deg),
                            b = from_above(plan.loop_b, site.azimuth_b_deg);
    const double ring_m = std::isfinite(site.keep_out_m) ? site.keep_out_m : 0;
    const double half_m = std::max({reach_of(a), reach_of(b), 1e-3}) + ring_m;
    const double scale = (from_above_px / 2 - margin_px) / half_m;  // pixels per metre
    const double cx = from_above_px / 2, cy = height_px / 2 + 4;
    const std::string wires = fmt::format("{} {}", path_of(a, cx, cy, scale), path_of(b, cx, cy, scale));
    // The edge of a broad stroke around the wires is the ring.
    std::string out;
    for (const auto& [css_class, more_px] : {std::pair{"ring", 3.0}, {"inside", 0.0}})
        out += fmt::format("<path class=\"{}\" d=\"{}\" stroke-width=\"{:.2f}\"/>\n", css_class, wires,
                           2 * ring_m * scale + more_px);
    out += fmt::format("<path class=\"loop\" d=\"{}\"/>\n", path_of(a, cx, cy, scale));
    out += fmt::format("<path class=\"loop b\" d=\"{}\"/>\n", path_of(b, cx, cy, scale));
    for (const auto& [points, name] : {std::pair{&a, "A"}, {&b, "B"}}) {
        const Flat& end = *std::max_element(points->begin(), points->end(), [](const Flat& p, const Flat& q) {
            return std::hypot(p.x, p.y) < std::hypot(q.x, q.y) - 1e-9;
        });
        const double far = std::max(std::hypot(end.x, end.y), 1e-9), beyond = 1 + 9 / (far * scale);
        out += text_at(cx + end.x * scale * beyond, cy - end.y * scale * beyond + 4, name);
    }
    out += text_at(cx, 12, "from above");
    out += "<path class=\"arrow\" d=\"M14,44V20M9,27L14,18L19,27\"/>\n" + text_at(14, 56, "N");
    return out + text_at(cx, height_px - 4,
                         fmt::format("ring: {} m from any wire", setup::safety_figure_text(site.keep_out_m)));
}

std::string front_view(const plan::Loop& loop, const char* name, double x_px, double scale) {
    const double tilt = std::cos(loop.tilt_deg * std::numbers::pi / 180);
    std::vector<Flat> face = about_centre(loop);
    double left = 0, right = 0, low = 0, high = 0;
    for (Flat& p : face) {
        p.y *= tilt;  // as it looks from the side
        left = std::min(left, p.x), right = std::max(right, p.x);
        low = std::min(low, p.y), high = std::max(high, p.y);
    }
    const double ground_px = height_px - 34, centre_px = ground_px - loop.centre_height_m * scale;
    std::string out = text_at(x_px, 12, fmt::format("loop {}, against its normal", name));
    out += fmt::format("<path class=\"loop{}\" d=\"{}\"/>\n", name[0] == 'B' ? " b" : "",
                       path_of(face, x_px, centre_px, scale));
    out += fmt::format("<path class=\"ground\" d=\"M{:.1f},{:.1f}H{:.1f}\"/>\n", x_px - 92, ground_px,
                       x_px + 92);
    out += text_at(x_px, height_px - 18,
                   fmt::format("{} wide, {} high", metres(right - left), metres(high - low)));
    return out + text_at(x_px, height_px - 4,
                         fmt::format("lowest wire {} above ground", metres(loop.centre_height_m + low)));
}

}  // namespace

std::vector<WirePoint> wire_of(const plan::Loop& loop, double azimuth_deg) {
    model::loop::LoopDesign design;
    for (const Flat& p : about_centre(loop)) design.outline.vertices.push_back({p.x, p.y, 0});
    design.normal_azimuth_deg = azimuth_deg;
    design.tilt_deg = loop.tilt_deg;
    design.centre_height_m = 0;
    std::vector<WirePoint> out;
    for (const model::loop::LoopPoint& p : model::loop::placed_vertices(design))
        out.push_back({.east_m = p.y_m, .north_m = p.x_m, .up_m = -p.z_m});
    return out;
}

std::string loop_sketch_svg(const plan::Plan& plan, const SketchedSite& site) {
    // Both loops to one scale: the larger fills its half of the space.
    double scale = 1e9;
    for (const plan::Loop* loop : {&plan.loop_a, &plan.loop_b}) {
        double half_m = 1e-3, top_m = 1e-3;
        for (const Flat& p : about_centre(*loop)) {
            half_m = std::max(half_m, std::abs(p.x));
            top_m = std::max(top_m, loop->centre_height_m + p.y);
        }
        scale = std::min({scale, 88 / half_m, (height_px - 58) / top_m});
    }
    return fmt::format(
               "<svg class=\"sketch\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" aria-label=\"Loops and ring, "
               "from above and from the side\">\n",
               width_px, height_px) +
           plan_view(plan, site) + front_view(plan.loop_a, "A", from_above_px + 105, scale) +
           front_view(plan.loop_b, "B", from_above_px + 305, scale) + "</svg>\n";
}

}  // namespace ampturn::sheet
