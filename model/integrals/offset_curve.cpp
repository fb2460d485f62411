#include "model/integrals/offset_curve.hpp"

#include <cmath>

namespace ampturn::model::integrals {

IntegralsWithRounding integrals_at(const OffsetPolynomial& piece, double offset_m, double log_offset,
                                   double phase_per_m) {
    const double t = (log_offset - piece.centre) * piece.per_unit;
    std::array<double, interpolated_count> x{};
    for (std::size_t k = piece.count; k-- > 0;)
        for (std::size_t i = 0; i < interpolated_count; ++i)
            x[i] = x[i] * t + piece.coefficients[k * interpolated_count + i];
    const double size = 1 / (offset_m * offset_m * offset_m);
    const std::complex<double> factor = std::polar(size, -phase_per_m * offset_m);
    IntegralsWithRounding result;
    for (std::size_t m = 0; m < curve_members.size(); ++m) {
        result.value.*curve_members[m] = factor * std::complex<double>(x[2 * m], x[2 * m + 1]);
        result.rounding.*curve_members[m] = size * piece.error[m];
    }
    return result;
}

}  // namespace ampturn::model::integrals
