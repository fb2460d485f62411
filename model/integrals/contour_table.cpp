#include "model/integrals/contour_table.hpp"

#include <cmath>
#include <map>
#include <mutex>
#include <tuple>

#include "model/base/constants.hpp"
#include "model/integrals/hankel.hpp"

namespace ampturn::model::integrals {

namespace {

using Complex = std::complex<double>;

Orders01 carrier_functions(Carrier carrier, Complex z) {
    switch (carrier) {
        case Carrier::j:
            return bessel_j01(z);
        case Carrier::half_h1: {
            const Orders01 h = hankel1_01(z);
            return {0.5 * h.order_0, 0.5 * h.order_1};
        }
        case Carrier::half_h2: {
            const Orders01 h = hankel2_01(z);
            return {0.5 * h.order_0, 0.5 * h.order_1};
        }
    }
    return {};
}

std::shared_ptr<const ContourTable> make_table(const ContourShape& shape, int level_panel_count,
                                               const std::vector<double>& fractions, double lowest_fraction) {
    auto table = std::make_shared<ContourTable>();
    const std::vector<ContourNode> nodes = make_contour(shape, level_panel_count, true, lowest_fraction);
    const std::size_t padded = (nodes.size() + lane_count - 1) / lane_count * lane_count;
    table->zeta.resize(padded);
    for (std::size_t i = 0; i < padded; ++i) {
        const Complex zeta = nodes[std::min(i, nodes.size() - 1)].zeta;
        table->zeta.re[i] = zeta.real();
        table->zeta.im[i] = zeta.imag();
    }
    table->fractions = fractions;
    for (const double fraction : fractions) {
        CarrierWeights& w = table->weights.emplace_back();
        w.order_0.resize(padded);
        w.order_1.resize(padded);
        for (std::size_t i = 0; i < nodes.size(); ++i) {
            const Orders01 f = carrier_functions(nodes[i].carrier, nodes[i].zeta * fraction);
            const Complex w0 = f.order_0 * nodes[i].weight, w1 = f.order_1 * nodes[i].weight;
            w.order_0.re[i] = w0.real();
            w.order_0.im[i] = w0.imag();
            w.order_1.re[i] = w1.real();
            w.order_1.im[i] = w1.imag();
        }
    }
    return table;
}

/// Counts in use: all up to 8, then steps of an eighth of the power of two, so that few tables serve all.
int rounded_up(int level_panel_count) {
    int step = 1;
    while (step * 16 < level_panel_count + step) step *= 2;
    return (level_panel_count + step - 1) / step * step;
}

enum class Kind { single_main, single_check, single_lean, band, band_check, fine_band, fine_band_check };

std::shared_ptr<const ContourTable> kept_table(Kind kind, int points, const ContourShape& shape,
                                               double rightmost) {
    const int panels = rounded_up(level_panels(shape, rightmost));
    // Above this a table is large and rarely asked for again.
    constexpr int most_panels_kept = 400;
    static std::mutex mutex;
    static std::map<std::tuple<Kind, int, int>, std::shared_ptr<const ContourTable>> tables;
    const std::tuple key(kind, points, panels);
    {
        const std::scoped_lock lock(mutex);
        const auto found = tables.find(key);
        if (found != tables.end()) return found->second;
    }
    const double lowest_fraction = std::exp(-0.5 * band_log_width);
    std::vector<double> fractions{1.0};
    if (kind == Kind::band || kind == Kind::fine_band) {
        fractions.clear();
        for (int i = 0; i < points; ++i)
            fractions.push_back(std::exp(0.5 * band_log_width * chebyshev_node(points, i)));
    }
    const bool check = kind == Kind::band_check || kind == Kind::fine_band_check;
    if (check) fractions = {lowest_fraction, 1 / lowest_fraction};
    const bool shared = check || kind == Kind::band || kind == Kind::fine_band;
    std::shared_ptr<const ContourTable> table =
        make_table(shape, panels, fractions, shared ? lowest_fraction : 1);
    if (panels <= most_panels_kept) {
        const std::scoped_lock lock(mutex);
        tables.emplace(key, table);
    }
    return table;
}

}  // namespace

double chebyshev_node(int points, int index) { return -std::cos(pi * (index + 0.5) / points); }

double chebyshev_weight(int points, int index) {
    return (index % 2 == 0 ? 1 : -1) * std::sin(pi * (index + 0.5) / points);
}

std::shared_ptr<const ContourTable> single_offset_table(bool check, double rightmost) {
    return check ? kept_table(Kind::single_check, 1, check_shape(), rightmost)
                 : kept_table(Kind::single_main, 1, main_shape(), rightmost);
}

std::shared_ptr<const ContourTable> lean_offset_table(double rightmost) {
    return kept_table(Kind::single_lean, 1, lean_shape(), rightmost);
}

std::shared_ptr<const ContourTable> band_table(BandAccuracy accuracy, int points, double rightmost) {
    return accuracy == BandAccuracy::fine ? kept_table(Kind::fine_band, points, main_shape(), rightmost)
                                          : kept_table(Kind::band, points, fast_shape(), rightmost);
}

std::shared_ptr<const ContourTable> band_check_table(BandAccuracy accuracy, double rightmost) {
    return accuracy == BandAccuracy::fine ? kept_table(Kind::fine_band_check, 2, check_shape(), rightmost)
                                          : kept_table(Kind::band_check, 2, fast_check_shape(), rightmost);
}

}  // namespace ampturn::model::integrals
