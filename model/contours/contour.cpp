#include "model/contours/contour.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/gauss_legendre.hpp"

namespace ampturn::model::contours {

namespace {

using Complex = std::complex<double>;

class Builder {
  public:
    explicit Builder(int order) : rule_(gauss_legendre(order)) {}

    void panel(Complex from, Complex to, Carrier carrier) {
        const Complex middle = 0.5 * (from + to), half = 0.5 * (to - from);
        for (std::size_t i = 0; i < rule_.nodes.size(); ++i)
            nodes_.push_back({middle + rule_.nodes[i] * half, rule_.weights[i] * half, carrier});
    }

    void ray(Complex from, Complex direction, double length, const ContourShape& shape, Carrier carrier) {
        double done = 0;
        for (double next = shape.first_panel; done < length;
             next = std::min(next * shape.growth, shape.longest_panel)) {
            const double end = std::min(done + next, length);
            panel(from + done * direction, from + end * direction, carrier);
            done = end;
        }
    }

    std::vector<ContourNode> take() { return std::move(nodes_); }

  private:
    GaussLegendre rule_;
    std::vector<ContourNode> nodes_;
};

}  // namespace

ContourShape main_shape() {
    return {.order = 16,
            .corner = {1.6, 1.8},
            .up_deg = 50,
            .down_deg = 20,
            .level_panel = 4,
            .first_panel = 2.5,
            .growth = 1.4,
            .longest_panel = 8,
            .low_ratio = 2.5,
            .low_end = 1e-6,
            .decay = 38};
}

ContourShape check_shape() {
    return {.order = 18,
            .corner = {1.2, 1.2},
            .up_deg = 45,
            .down_deg = 13,
            .level_panel = 2.6,
            .first_panel = 1.7,
            .growth = 1.35,
            .longest_panel = 7,
            .low_ratio = 2.2,
            .low_end = 0.7e-6,
            .decay = 38};
}

ContourShape lean_shape() {
    return {.order = 10,
            .corner = {1.5, 1.5},
            .up_deg = 45,
            .down_deg = 35,
            .level_panel = 3,
            .first_panel = 2.8,
            .growth = 1.6,
            .longest_panel = 30,
            .low_ratio = 5,
            .low_end = 5e-3,
            .decay = 26};
}

int level_panels(const ContourShape& shape, double rightmost) {
    return static_cast<int>(std::ceil(std::max(0.0, (rightmost - shape.corner.real()) / shape.level_panel)));
}

std::vector<ContourNode> make_contour(const ContourShape& shape, int level_panel_count, bool split,
                                      double q_low) {
    Builder build(shape.order);
    Complex end = shape.corner;
    while (std::abs(end) > shape.low_end) {
        const Complex start = end / shape.low_ratio;
        build.panel(start, end, Carrier::j);
        end = start;
    }
    build.panel(0, end, Carrier::j);

    const double up = shape.up_deg * pi / 180, down = shape.down_deg * pi / 180;
    if (split)
        build.ray(shape.corner, std::polar(1.0, up), shape.decay / (q_low * std::sin(up)), shape,
                  Carrier::half_h1);
    const Carrier second = split ? Carrier::half_h2 : Carrier::j;
    Complex at = shape.corner;
    for (int i = 0; i < level_panel_count; ++i) {
        build.panel(at, at + shape.level_panel, second);
        at += shape.level_panel;
    }
    // With J whole the kernel's own e^{-lambda height} is what decays, by the cosine less what J grows.
    const double rate = split ? std::sin(down) : std::cos(down) - std::sin(down);
    build.ray(at, std::polar(1.0, -down), (shape.decay + shape.corner.imag()) / (q_low * rate), shape,
              second);
    return build.take();
}

}  // namespace ampturn::model::contours
