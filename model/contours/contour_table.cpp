#include "model/contours/contour_table.hpp"

#include <cmath>
#include <map>
#include <mutex>
#include <utility>

#include "model/base/constants.hpp"
#include "model/contours/hankel.hpp"

namespace ampturn::model::contours {

namespace {

using Complex = std::complex<double>;

std::shared_ptr<const ContourTable> make_table(const ContourShape& shape, int level_panel_count) {
    auto table = std::make_shared<ContourTable>();
    const std::vector<ContourNode> nodes = make_contour(shape, level_panel_count, true, 1);
    const std::size_t padded = (nodes.size() + lane_count - 1) / lane_count * lane_count;
    table->zeta.resize(padded);
    for (std::size_t i = 0; i < padded; ++i) {
        const Complex zeta = nodes[std::min(i, nodes.size() - 1)].zeta;
        table->zeta.re[i] = zeta.real();
        table->zeta.im[i] = zeta.imag();
    }
    CarrierWeights& w = table->weights;
    w.order_0.resize(padded);
    w.order_1.resize(padded);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const Orders01 f = carrier_functions(nodes[i].carrier, nodes[i].zeta);
        const Complex w0 = f.order_0 * nodes[i].weight, w1 = f.order_1 * nodes[i].weight;
        w.order_0.re[i] = w0.real();
        w.order_0.im[i] = w0.imag();
        w.order_1.re[i] = w1.real();
        w.order_1.im[i] = w1.imag();
    }
    return table;
}

enum class Kind { main, check, lean };

std::shared_ptr<const ContourTable> kept_table(Kind kind, const ContourShape& shape, double rightmost) {
    const int panels = few_counts(level_panels(shape, rightmost));
    // Above this a table is large and rarely asked for again.
    constexpr int most_panels_kept = 400;
    static std::mutex mutex;
    static std::map<std::pair<Kind, int>, std::shared_ptr<const ContourTable>> tables;
    const std::pair key(kind, panels);
    {
        const std::scoped_lock lock(mutex);
        const auto found = tables.find(key);
        if (found != tables.end()) return found->second;
    }
    std::shared_ptr<const ContourTable> table = make_table(shape, panels);
    if (panels <= most_panels_kept) {
        const std::scoped_lock lock(mutex);
        tables.emplace(key, table);
    }
    return table;
}

}  // namespace

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

int few_counts(int level_panel_count) {
    int step = 1;
    while (step * 16 < level_panel_count + step) step *= 2;
    return (level_panel_count + step - 1) / step * step;
}

double chebyshev_node(int points, int index) { return -std::cos(pi * (index + 0.5) / points); }

double chebyshev_weight(int points, int index) {
    return (index % 2 == 0 ? 1 : -1) * std::sin(pi * (index + 0.5) / points);
}

std::shared_ptr<const ContourTable> single_offset_table(bool check, double rightmost) {
    return check ? kept_table(Kind::check, check_shape(), rightmost)
                 : kept_table(Kind::main, main_shape(), rightmost);
}

std::shared_ptr<const ContourTable> lean_offset_table(double rightmost) {
    return kept_table(Kind::lean, lean_shape(), rightmost);
}

}  // namespace ampturn::model::contours
