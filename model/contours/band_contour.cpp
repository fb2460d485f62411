#include "model/contours/band_contour.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <mutex>
#include <tuple>

#include "model/base/constants.hpp"
#include "model/base/gauss_legendre.hpp"
#include "model/contours/contour.hpp"
#include "model/contours/contour_table.hpp"

namespace ampturn::model::contours {

namespace {

using Complex = std::complex<double>;

constexpr BandShape fast{.rise_deg = 55,
                         .corner = 3.2,
                         .rise_order = 11,
                         .j_panels = 1,
                         .low_end = 1.8e-2,
                         .fall_deg = 31,
                         .fall_start = 3.6,
                         .fall_order = 16,
                         .fall_steps = 1,
                         .line_reach = 1.1,
                         .line_order = 16,
                         .level_order = 12,
                         .level_panel = 5.6,
                         .own_deg = 45,
                         .own_panel = 3,
                         .own_growth = 1.6,
                         .own_order = 10,
                         .decay = 26};

constexpr BandShape fast_check{.rise_deg = 50,
                               .corner = 3,
                               .rise_order = 11,
                               .j_panels = 1,
                               .low_end = 1.7e-2,
                               .fall_deg = 28,
                               .fall_start = 3.2,
                               .fall_order = 10,
                               .fall_steps = 2,
                               .line_reach = 1.1,
                               .line_order = 15,
                               .level_order = 12,
                               .level_panel = 5,
                               .own_deg = 41,
                               .own_panel = 3.3,
                               .own_growth = 1.6,
                               .own_order = 10,
                               .decay = 25};

constexpr BandShape fine{.rise_deg = 52,
                         .corner = 2.2,
                         .rise_order = 20,
                         .j_panels = 2,
                         .low_end = 1e-4,
                         .fall_deg = 30,
                         .fall_start = 3.4,
                         .fall_order = 15,
                         .fall_steps = 2,
                         .line_reach = 0.9,
                         .line_order = 26,
                         .level_order = 18,
                         .level_panel = 4,
                         .own_deg = 40,
                         .own_panel = 2.5,
                         .own_growth = 1.4,
                         .own_order = 16,
                         .decay = 37};

constexpr BandShape fine_check{.rise_deg = 48,
                               .corner = 2,
                               .rise_order = 22,
                               .j_panels = 2,
                               .low_end = 0.7e-4,
                               .fall_deg = 27,
                               .fall_start = 3.1,
                               .fall_order = 26,
                               .fall_steps = 1,
                               .line_reach = 0.9,
                               .line_order = 28,
                               .level_order = 19,
                               .level_panel = 3.6,
                               .own_deg = 36,
                               .own_panel = 2.2,
                               .own_growth = 1.4,
                               .own_order = 17,
                               .decay = 37};

const double lowest_fraction = std::exp(-0.5 * band_log_width);

Complex ray_unit(double degrees) { return std::polar(1.0, degrees * pi / 180); }

struct Panel {
    Complex start, end;
    Carrier carrier;
    int order;
};

void append(ComplexArray& to, Complex x) {
    to.re.push_back(x.real());
    to.im.push_back(x.imag());
}

PanelNodes nodes_of(Complex start, Complex end, int order) {
    const GaussLegendre rule = gauss_legendre(order);
    PanelNodes nodes;
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
        nodes.zeta.push_back(0.5 * (start + end) + rule.nodes[i] * (0.5 * (end - start)));
        nodes.weight.push_back(rule.weights[i] * (0.5 * (end - start)));
    }
    return nodes;
}

/// Where panel `step` of a ray starts whose panel 0 starts at `first`, `steps` panels to a band's width.
Complex start_of(Complex first, int step, int steps) {
    return first * std::exp(band_log_width * step / steps);
}

/// Panels of a ray from `first` outward until the carrier of the lowest fraction has died out.
int outward_panels(Complex first, int steps, double decay) {
    int count = 0;
    while (std::abs(start_of(first, count, steps).imag()) * lowest_fraction < decay) ++count;
    return count;
}

/// The panels of a band's contour, in the order of its table.
struct Panels {
    std::vector<Panel> rise, line, fall, own;
};

void add_rising_ray(const BandShape& shape, Panels& panels) {
    const Complex corner = shape.corner * ray_unit(shape.rise_deg);
    for (int step = -shape.j_panels; step < outward_panels(corner, 1, shape.decay); ++step)
        panels.rise.push_back({start_of(corner, step, 1), start_of(corner, step + 1, 1),
                               step < 0 ? Carrier::j : Carrier::half_h1, shape.rise_order});
}

void add_line_and_falling_ray(const BandShape& shape, Panels& panels) {
    const Complex corner = shape.corner * ray_unit(shape.rise_deg);
    const Complex fall = shape.fall_start * ray_unit(-shape.fall_deg);
    panels.line.push_back({corner, fall, Carrier::half_h2, shape.line_order});
    for (int step = 0; step < outward_panels(fall, shape.fall_steps, shape.decay); ++step)
        panels.fall.push_back({start_of(fall, step, shape.fall_steps),
                               start_of(fall, step + 1, shape.fall_steps), Carrier::half_h2,
                               shape.fall_order});
}

void add_level_and_own_ray(const BandShape& shape, int level_panel_count, Panels& panels) {
    Complex at = shape.corner * ray_unit(shape.rise_deg);
    for (int i = 0; i < level_panel_count; ++i) {
        panels.own.push_back({at, at + shape.level_panel, Carrier::half_h2, shape.level_order});
        at += shape.level_panel;
    }
    for (double length = shape.own_panel; - at.imag() * lowest_fraction < shape.decay;
         length *= shape.own_growth) {
        const Complex end = at + length * ray_unit(-shape.own_deg);
        panels.own.push_back({at, end, Carrier::half_h2, shape.own_order});
        at = end;
    }
}

/// Coefficients of z^n, z^{n+2} ... of J_n, times q^n, q^{n+2} ...
void set_power_coefficients(double q, CarrierWeights& weights) {
    double factor_0 = 1, factor_1 = 0.5 * q;
    for (std::size_t p = 0; p < power_count; ++p) {
        weights.order_0.re[p] = factor_0;
        weights.order_1.re[p] = factor_1;
        const double next = static_cast<double>(p + 1);
        factor_0 *= -0.25 * q * q / (next * next);
        factor_1 *= -0.25 * q * q / (next * (next + 1));
    }
}

constexpr std::size_t rounded_up(std::size_t n) { return (n + lane_count - 1) / lane_count * lane_count; }

/// The carriers of one offset at the panels' nodes from place `at` on; returns the place after the last where they count.
std::size_t set_carriers(const std::vector<Panel>& panels, double fraction, double decay, std::size_t at,
                         CarrierWeights& w) {
    std::size_t used = at;
    for (const Panel& panel : panels) {
        // Where the sum is small against what it is the sum of, as for vertical dipoles many skin depths away, e^{-decay}
        // still shows, and leaving it out for some offsets only would not be smooth.
        constexpr double margin = 8;
        const bool counts = std::abs(panel.start.imag()) * fraction < decay + margin;
        const PanelNodes nodes = nodes_of(panel.start, panel.end, panel.order);
        for (std::size_t i = 0; counts && i < nodes.zeta.size(); ++i) {
            const Orders01 f = carrier_functions(panel.carrier, nodes.zeta[i] * fraction);
            const Complex w0 = f.order_0 * nodes.weight[i], w1 = f.order_1 * nodes.weight[i];
            w.order_0.re[at + i] = w0.real();
            w.order_0.im[at + i] = w0.imag();
            w.order_1.re[at + i] = w1.real();
            w.order_1.im[at + i] = w1.imag();
        }
        at += nodes.zeta.size();
        if (counts) used = at;
    }
    return used;
}

std::shared_ptr<const BandTable> make_table(const BandShape& shape, const Panels& panels,
                                            const std::vector<double>& fractions) {
    auto table = std::make_shared<BandTable>();
    const auto count = [](const std::vector<Panel>& some) {
        std::size_t n = 0;
        for (const Panel& panel : some) n += static_cast<std::size_t>(panel.order);
        return n;
    };
    table->rise_count = count(panels.rise);
    table->line_count = count(panels.line);
    table->fall_count = count(panels.fall);
    table->own_count = count(panels.own);
    const std::size_t line_at = power_count + table->rise_count, fall_at = line_at + table->line_count,
                      own_at = fall_at + table->fall_count;
    table->size = rounded_up(own_at + table->own_count);
    for (const Panel& panel : panels.own)
        for (const Complex& zeta : nodes_of(panel.start, panel.end, panel.order).zeta)
            append(table->own_zeta, zeta);
    while (table->own_zeta.size() % lane_count != 0) append(table->own_zeta, panels.own.back().end);
    table->fractions = fractions;
    for (const double fraction : fractions) {
        CarrierWeights& w = table->weights.emplace_back();
        w.order_0.resize(table->size);
        w.order_1.resize(table->size);
        set_power_coefficients(fraction, w);
        set_carriers(panels.rise, fraction, shape.decay, power_count, w);
        set_carriers(panels.line, fraction, shape.decay, line_at, w);
        const std::size_t fall_used = set_carriers(panels.fall, fraction, shape.decay, fall_at, w);
        const std::size_t own_used = set_carriers(panels.own, fraction, shape.decay, own_at, w);
        table->used.push_back(rounded_up(panels.own.empty() ? fall_used : own_used));
    }
    return table;
}

/// points 0: the unlike contour, for the two ends of the band.
std::shared_ptr<const BandTable> kept_table(BandAccuracy accuracy, int points, double rightmost) {
    const BandShape& shape = band_shape(accuracy, points == 0);
    const double corner_re = (shape.corner * ray_unit(shape.rise_deg)).real();
    const int level = line_serves(shape, rightmost)
                          ? 0
                          : few_counts(static_cast<int>(
                                std::ceil(std::max(1.0, (rightmost - corner_re) / shape.level_panel))));
    // Above this a table is large and rarely asked for again.
    constexpr int most_panels_kept = 400;
    static std::mutex mutex;
    static std::map<std::tuple<BandAccuracy, int, int>, std::shared_ptr<const BandTable>> tables;
    const std::tuple key(accuracy, points, level);
    {
        const std::scoped_lock lock(mutex);
        const auto found = tables.find(key);
        if (found != tables.end()) return found->second;
    }
    Panels panels;
    add_rising_ray(shape, panels);
    if (level == 0)
        add_line_and_falling_ray(shape, panels);
    else
        add_level_and_own_ray(shape, level, panels);
    std::vector<double> fractions;
    for (int i = 0; i < points; ++i)
        fractions.push_back(std::exp(0.5 * band_log_width * chebyshev_node(points, i)));
    if (points == 0) fractions = {lowest_fraction, 1 / lowest_fraction};
    std::shared_ptr<const BandTable> table = make_table(shape, panels, fractions);
    if (level <= most_panels_kept) {
        const std::scoped_lock lock(mutex);
        tables.emplace(key, table);
    }
    return table;
}

/// Of a panel scaled by `scale`.
void append_powers(const PanelNodes& panel, double scale, RayNodes& nodes) {
    for (std::size_t i = 0; i < panel.zeta.size(); ++i) {
        const Complex zeta = panel.zeta[i] * scale;
        Complex power = panel.weight[i] * scale;
        for (std::size_t p = 0; p < power_count; ++p) {
            append(nodes.powers_0, power);
            append(nodes.powers_1, power * zeta);
            power *= zeta * zeta;
        }
    }
}

RayNodes make_ray_nodes(const BandShape& shape) {
    const Complex rise = shape.corner * ray_unit(shape.rise_deg);
    const Complex fall = shape.fall_start * ray_unit(-shape.fall_deg);
    RayNodes nodes{.rise = nodes_of(rise, start_of(rise, 1, 1), shape.rise_order),
                   .rise_end = {},
                   .line = nodes_of(rise, fall, shape.line_order),
                   .fall = nodes_of(fall, start_of(fall, 1, shape.fall_steps), shape.fall_order),
                   .lowest_step = -shape.j_panels,
                   .rise_panels = outward_panels(rise, 1, shape.decay),
                   .fall_panels = outward_panels(fall, shape.fall_steps, shape.decay),
                   .powers_0 = {},
                   .powers_1 = {}};
    while (shape.corner * std::exp(band_log_width * nodes.lowest_step) > shape.low_end) --nodes.lowest_step;
    nodes.rise_end = nodes_of(0, start_of(rise, nodes.lowest_step, 1), shape.rise_order);
    append_powers(nodes.rise_end, 1, nodes);
    for (int step = nodes.lowest_step; step < most_shared - 1 - shape.j_panels; ++step)
        append_powers(nodes.rise, std::exp(band_log_width * step), nodes);
    return nodes;
}

}  // namespace

const BandShape& band_shape(BandAccuracy accuracy, bool check) {
    if (accuracy == BandAccuracy::fast) return check ? fast_check : fast;
    return check ? fine_check : fine;
}

const RayNodes& ray_nodes(BandAccuracy accuracy, bool check) {
    static const std::array<RayNodes, 4> kept{make_ray_nodes(fast), make_ray_nodes(fast_check),
                                              make_ray_nodes(fine), make_ray_nodes(fine_check)};
    return kept[(accuracy == BandAccuracy::fine ? 2 : 0) + (check ? 1 : 0)];
}

bool line_serves(const BandShape& shape, double rightmost) { return rightmost <= shape.line_reach; }

std::shared_ptr<const BandTable> band_table(BandAccuracy accuracy, int points, double rightmost) {
    return kept_table(accuracy, points, rightmost);
}

std::shared_ptr<const BandTable> band_check_table(BandAccuracy accuracy, double rightmost) {
    return kept_table(accuracy, 0, rightmost);
}

}  // namespace ampturn::model::contours
