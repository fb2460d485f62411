#include "model/loop/charged_sides.hpp"

#include <cmath>

#include "model/base/dispatch.hpp"
#include "model/base/lane_count.hpp"
#include "model/base/vector_math.hpp"
#include "model/loop/loop_vector.hpp"

namespace ampturn::model::loop {

namespace {

struct Columns {
    const double *x1, *y1, *z1, *x2, *y2, *z2, *ux, *uy, *uz, *least, *charge;
};

/// The gradient of a line charge's potential, negated: with s along the side and d across it, both closed forms.
template <std::size_t width>
AMPTURN_LANE void add_up(const Columns& c, std::size_t count, const LoopPoint& at, double* sums) {
    constexpr std::size_t parts = lane_count / width;
    lane::V<width> x[parts], y[parts], z[parts];
    for (std::size_t k = 0; k < parts; ++k) x[k] = y[k] = z[k] = lane::all<width>(0.0);
    for (std::size_t i = 0; i < count; i += lane_count)
        for (std::size_t k = 0; k < parts; ++k) {
            const std::size_t j = i + k * width;
            const auto column = [&](const double* from) { return lane::load<width>(from + j); };
            const auto ux = column(c.ux), uy = column(c.uy), uz = column(c.uz), q = column(c.charge);
            const auto rx = at.x_m - column(c.x1), ry = at.y_m - column(c.y1), rz = at.z_m - column(c.z1);
            const auto s1 = (rx * ux + ry * uy) + rz * uz;
            const auto s2 =
                ((at.x_m - column(c.x2)) * ux + (at.y_m - column(c.y2)) * uy) + (at.z_m - column(c.z2)) * uz;
            const auto dx = rx - s1 * ux, dy = ry - s1 * uy, dz = rz - s1 * uz;
            const auto across = (dx * dx + dy * dy) + dz * dz, least = column(c.least);
            const auto d2 = across > least ? across : least;
            const auto n1 = 1.0 / lane::square_root<width>(s1 * s1 + d2),
                       n2 = 1.0 / lane::square_root<width>(s2 * s2 + d2);
            const auto outward = q * ((s1 * n1 - s2 * n2) / d2), lengthwise = q * (n2 - n1);
            x[k] += outward * dx + lengthwise * ux;
            y[k] += outward * dy + lengthwise * uy;
            z[k] += outward * dz + lengthwise * uz;
        }
    for (std::size_t k = 0; k < parts; ++k) {
        lane::store(sums + k * width, x[k]);
        lane::store(sums + lane_count + k * width, y[k]);
        lane::store(sums + 2 * lane_count + k * width, z[k]);
    }
}
AMPTURN_DISPATCH(add_up_sides, (const Columns& c, std::size_t count, const LoopPoint& at, double* sums),
                 add_up<width>(c, count, at, sums))

}  // namespace

void ChargedSides::add(const LoopPoint& from, const LoopPoint& to, double charge) {
    const LoopPoint side = minus(to, from);
    const double length_m = size(side);
    const double values[columns] = {from.x_m,
                                    from.y_m,
                                    from.z_m,
                                    to.x_m,
                                    to.y_m,
                                    to.z_m,
                                    side.x_m / length_m,
                                    side.y_m / length_m,
                                    side.z_m / length_m,
                                    1e-18 * length_m * length_m,
                                    charge};
    for (std::size_t i = 0; i < columns; ++i) column_[i].push_back(values[i]);
}

void ChargedSides::finish() {
    // Whole vectors are read: what is added to fill them up carries nothing.
    while (column_[0].size() % lane_count != 0) {
        for (auto& column : column_) column.push_back(column.back());
        column_.back().back() = 0;
    }
}

double ChargedSides::field(const LoopPoint& at) const {
    const auto& c = column_;
    double sums[3 * lane_count];
    add_up_sides({c[0].data(), c[1].data(), c[2].data(), c[3].data(), c[4].data(), c[5].data(), c[6].data(),
                  c[7].data(), c[8].data(), c[9].data(), c[10].data()},
                 c[0].size(), at, sums);
    return size({sum_of_lanes(sums), sum_of_lanes(sums + lane_count), sum_of_lanes(sums + 2 * lane_count)});
}

}  // namespace ampturn::model::loop
