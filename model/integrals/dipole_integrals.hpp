#pragma once

#include <array>
#include <complex>

#include "model/integrals/field_workspace.hpp"
#include "model/integrals/integral_terms.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// The eight functions of offset that every magnetic dipole field is made of. With
/// zh = i omega mu0, a = m/4pi:
///
///     horizontal dipole along the line to the receiver: E across = zh a e_radial,  H along = a h_radial
///     horizontal dipole across it:                      E along' = zh a e_across,  H' = a h_across
///     both: Hz = a cos(angle) hz;   vertical dipole: E_phi = -zh a v_e, H_r = -a v_hr, Hz = a v_hz
///
/// (primed: components along the axes of the dipole, x' along the moment, y' clockwise from it).
struct DipoleIntegrals {
    std::complex<double> e_radial, e_across, h_radial, h_across, hz, v_e, v_hr, v_hz;
};

/// From the ten integrals at offset r. minus -1 for the integrals themselves, 1 for sums of absolute values.
template <class T>
DipoleIntegrals combined(const std::array<T, term_count>& t, double r, double minus) {
    return {.e_radial = t[p0] + minus * t[ps1] / r,
            .e_across = minus * t[s0] + t[ps1] / r,
            .h_radial = t[q0] + minus * t[qr1] / r,
            .h_across = t[kr0] + t[qr1] / r,
            .hz = t[pz1],
            .v_e = t[f1],
            .v_hr = t[hr1],
            .v_hz = t[hz0]};
}

/// The same for the direct wave alone, in closed form (Stratton 1941; dipole with radiation terms). Of a column by the Gauss rule
/// that leaves 1e-15 where its length is short against the wave's.
DipoleIntegrals direct_integrals(const Placement& place, double k0_per_m);

/// A value and an estimate of its rounding error, the same scale for each integral.
struct IntegralsWithRounding {
    DipoleIntegrals value;
    DipoleIntegrals rounding;  // real parts only
};

enum class ContourChoice { main, check };

/// Deformed contour for this very placement. Each integral is formed twice, whole and as reflected wave plus
/// the closed-form direct wave, and the form with less cancellation is kept.
IntegralsWithRounding contour_integrals(const LayerKernels& kernels, const Placement& place,
                                        ContourChoice choice, FieldWorkspace& workspace);

/// As contour_integrals by a lean contour and whole, for horizontal dipoles only: about 1e-9.
DipoleIntegrals lean_contour_integrals(const LayerKernels& kernels, const Placement& place,
                                       FieldWorkspace& workspace);

/// Straight above the real axis, by half waves of the carrier, partial sums accelerated (Wynn 1956): no pole
/// can be missed. About 1e-10; the fallback.
IntegralsWithRounding real_axis_integrals(const LayerKernels& kernels, const Placement& place,
                                          FieldWorkspace& workspace);

}  // namespace ampturn::model::integrals
