#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <sstream>
#include <string>
#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/curve/curve_output.hpp"
#include "scheduler/page/html.hpp"

namespace ampturn::curve {

namespace {

constexpr double panel_width = 460, resistivity_height = 200, phase_height = 120, row_height = 420;
constexpr double left = 70, top = 40;

struct Axis {
    double low, high;  // log10 or plain
    double from_px, to_px;
    double at(double value) const { return from_px + (value - low) / (high - low) * (to_px - from_px); }
};

Axis log_axis(std::vector<double> values, double from_px, double to_px) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    const double a = std::floor(2 * std::log10(*low)) / 2, b = std::ceil(2 * std::log10(*high)) / 2;
    return {a, std::max(b, a + 1), from_px, to_px};
}

std::string line_of(const std::vector<CurvePoint>& points, const Axis& x, const Axis& y,
                    const std::function<double(const CurvePoint&)>& value, const char* style) {
    std::string path;
    for (const CurvePoint& p : points)
        path += fmt::format("{}{:.1f},{:.1f}", path.empty() ? "" : " ", x.at(std::log10(p.frequency_hz)),
                            y.at(value(p)));
    return fmt::format("<polyline points=\"{}\" class=\"{}\"/>\n", path, style);
}

std::string marks_of(const std::vector<CurvePoint>& points, const Axis& x, const Axis& y,
                     const std::function<double(const CurvePoint&)>& value, bool square) {
    std::string out;
    for (const CurvePoint& p : points) {
        const double px = x.at(std::log10(p.frequency_hz)), py = y.at(value(p));
        out += square
                   ? fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"7\" height=\"7\" class=\"yx\"/>\n",
                                 px - 3.5, py - 3.5)
                   : fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" class=\"xy\"/>\n", px, py);
    }
    return out;
}

std::string text_at(double x, double y, const std::string& text, const char* anchor = "middle") {
    return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>\n", x, y, anchor,
                       page::html_escaped(text));
}

std::string grid_line(double x1, double y1, double x2, double y2) {
    return fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"grid\"/>\n", x1,
                       y1, x2, y2);
}

/// Lines and labels at 1, 2 and 5 of each decade.
template <class Draw>
void log_ticks(const Axis& axis, Draw draw) {
    for (int decade = static_cast<int>(std::floor(axis.low)); decade <= axis.high; ++decade)
        for (const double digit : {1.0, 2.0, 5.0}) {
            const double value = decade + std::log10(digit);
            if (value >= axis.low - 1e-9 && value <= axis.high + 1e-9)
                draw(value, std::pow(10, value), digit == 1.0);
        }
}

std::string panel(const StationCurve& station, double y0) {
    std::vector<double> frequencies, resistivities;
    double phase_low = 0, phase_high = 90;
    for (const CurvePoint& p : station.points) {
        frequencies.push_back(p.frequency_hz);
        for (const double rho :
             {p.xy.apparent_resistivity_ohm_m, p.yx.apparent_resistivity_ohm_m, p.plane_resistivity_ohm_m})
            resistivities.push_back(rho);
        for (const double phase : {p.xy.phase_deg, p.yx.phase_deg}) {
            phase_low = std::min(phase_low, 15 * std::floor(phase / 15));
            phase_high = std::max(phase_high, 15 * std::ceil(phase / 15));
        }
    }
    const double rho_bottom = y0 + top + resistivity_height, phase_top = rho_bottom + 20;
    const double phase_bottom = phase_top + phase_height;
    const Axis x =
        log_axis(frequencies, left + panel_width, left);  // high frequencies to the left, as on all pages
    const Axis rho = log_axis(resistivities, rho_bottom, y0 + top);
    const Axis phase{phase_low, phase_high, phase_bottom, phase_top};

    std::string out = text_at(
        left + panel_width / 2, y0 + 22,
        fmt::format("{}, {} m from {}", station.station, base::decimals(station.offset_m, 0), station.site));
    log_ticks(x, [&](double value, double hz, bool decade) {
        out += grid_line(x.at(value), y0 + top, x.at(value), rho_bottom);
        out += grid_line(x.at(value), phase_top, x.at(value), phase_bottom);
        if (decade || x.high - x.low < 2) out += text_at(x.at(value), phase_bottom + 16, base::brief(hz, 2));
    });
    log_ticks(rho, [&](double value, double ohm_m, bool) {
        out += grid_line(left, rho.at(value), left + panel_width, rho.at(value));
        out += text_at(left - 6, rho.at(value) + 4, base::brief(ohm_m, 2), "end");
    });
    for (int deg = static_cast<int>(phase_low); deg <= static_cast<int>(phase_high); deg += 15) {
        out += grid_line(left, phase.at(deg), left + panel_width, phase.at(deg));
        if (deg % 45 == 0) out += text_at(left - 6, phase.at(deg) + 4, base::brief(deg, 3), "end");
    }
    out += text_at(left + panel_width / 2, phase_bottom + 34, "frequency, Hz (shallow to the left)");
    out += text_at(left + panel_width + 8, y0 + top + 12, "apparent resistivity, ohm m", "start");
    out += text_at(left + panel_width + 8, phase_top + 12, "phase, deg", "start");

    const auto plane_rho = [](const CurvePoint& p) { return std::log10(p.plane_resistivity_ohm_m); };
    const auto plane_phase = [](const CurvePoint& p) { return p.plane_phase_deg; };
    out += line_of(station.points, x, rho, plane_rho, "plane");
    out += line_of(station.points, x, phase, plane_phase, "plane");
    out += marks_of(
        station.points, x, rho,
        [](const CurvePoint& p) { return std::log10(p.xy.apparent_resistivity_ohm_m); }, false);
    out += marks_of(
        station.points, x, rho,
        [](const CurvePoint& p) { return std::log10(p.yx.apparent_resistivity_ohm_m); }, true);
    out += marks_of(
        station.points, x, phase, [](const CurvePoint& p) { return p.xy.phase_deg; }, false);
    out += marks_of(
        station.points, x, phase, [](const CurvePoint& p) { return p.yx.phase_deg; }, true);
    return out;
}

}  // namespace

std::string curve_svg(const Curve& curve) {
    constexpr double width = 760, line_height = 16;
    // Letters of this size are at most some 8 pixels wide on average, so that a line of this many fits.
    constexpr std::size_t letters_a_line = 84;
    std::vector<std::string> titles;
    std::istringstream wrapped(
        base::wrapped(curve.survey_name + (curve.invented ? " (invented scenario)" : ""), letters_a_line, 0));
    for (std::string line; std::getline(wrapped, line);) titles.push_back(line);
    const double key_y = 20 + line_height * static_cast<double>(titles.size());
    const double panels_y = key_y + 10;
    const double height = panels_y + 10 + row_height * static_cast<double>(curve.stations.size());
    std::string out = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {1:.0f} {0:.0f}\" width=\"{1:.0f}\" "
        "height=\"{0:.0f}\" "
        "font-family=\"sans-serif\" font-size=\"12\">\n"
        "<style>.grid{{stroke:#ccc;stroke-width:.7}}.plane{{fill:none;stroke:#555;stroke-width:1.5}}"
        ".xy{{fill:#0072b2}}.yx{{fill:none;stroke:#d55e00;stroke-width:1.6}}</style>\n"
        "<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n",
        height, width);
    for (std::size_t i = 0; i < titles.size(); ++i)
        out += text_at(left, 20 + line_height * static_cast<double>(i), titles[i], "start");
    // The key, as the panels draw it.
    const double middle = key_y - 4;
    out += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" class=\"xy\"/>\n", left + 4, middle);
    out += text_at(left + 14, key_y, "xy", "start");
    out += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"7\" height=\"7\" class=\"yx\"/>\n", left + 44,
                       middle - 3.5);
    out += text_at(left + 57, key_y, "yx, as recorded with these loops", "start");
    out += fmt::format("<polyline points=\"{0:.1f},{2:.1f} {1:.1f},{2:.1f}\" class=\"plane\"/>\n", left + 270,
                       left + 300, middle);
    out += text_at(left + 306, key_y, "plane wave", "start");
    out += text_at(left + 400, key_y, "no noise", "start");
    double y0 = panels_y;
    for (const StationCurve& station : curve.stations) {
        out += panel(station, y0);
        y0 += row_height;
    }
    return out + "</svg>\n";
}

}  // namespace ampturn::curve
