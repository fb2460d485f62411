#pragma once

#include <array>
#include <cstddef>

#include "model/integrals/dipole_integrals.hpp"
#include "model/integrals/interpolation.hpp"

namespace ampturn::model::integrals {

/// The eight integrals in the order in which they stand in a row of values: real part, imaginary part, each.
/// The integrals of vertical dipoles come last.
inline constexpr std::array curve_members{&DipoleIntegrals::e_radial, &DipoleIntegrals::e_across,
                                          &DipoleIntegrals::h_radial, &DipoleIntegrals::h_across,
                                          &DipoleIntegrals::hz,       &DipoleIntegrals::v_hz,
                                          &DipoleIntegrals::v_e,      &DipoleIntegrals::v_hr};
static_assert(2 * curve_members.size() == interpolated_count);
inline constexpr std::size_t horizontal_members = 5;

/// r^3 e^{i k0 r} times each integral over a short range of offsets r, as polynomials in
/// t = (ln r - centre) per_unit, -1 to 1.
struct OffsetPolynomial {
    double centre, per_unit;
    std::size_t count;                               // of coefficients; even
    const double* coefficients;                      // [count][interpolated_count], of t^0, t^1 ...
    std::array<double, curve_members.size()> error;  // absolute, of the scaled integrals
};

/// The integrals at one offset and their errors (`rounding`). phase_per_m is k0, 0 for quasi-static.
IntegralsWithRounding integrals_at(const OffsetPolynomial& piece, double offset_m, double log_offset,
                                   double phase_per_m);

}  // namespace ampturn::model::integrals
