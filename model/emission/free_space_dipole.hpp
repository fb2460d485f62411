#pragma once

#include <algorithm>

/// The field of a small loop in free space, at any distance, by direction.
///
///     H_r     = m cos(theta)/(2 pi r^3) (1 + i k r) e^{-ikr}
///     H_theta = m sin(theta)/(4 pi r^3) (1 + i k r - k^2 r^2) e^{-ikr}
///     E_phi   = -i omega mu0 m sin(theta)/(4 pi r^2) (1 + i k r) e^{-ikr}
///
/// with k = omega/c, theta from the moment's direction. |H|^2 = A cos^2 + B sin^2, so that the largest over all directions
/// is the larger of axis and equator, and E is largest at the equator. Source: Balanis, Antenna Theory (1997), sec. 5.2;
/// Jackson (1998), sec. 9.3; from memory.
///
/// A loop of finite size is a sheet of such dipoles over its area (Ampere), and the largest field falls with distance: d
/// from the nearest part of that area the loop makes no more than its whole moment in one point does at d.
namespace ampturn::model::emission {

struct DipoleField {
    double axis_h_a_per_m;     // theta = 0
    double equator_h_a_per_m;  // theta = 90 deg
    double equator_e_v_per_m;
    double largest_h_a_per_m() const { return std::max(axis_h_a_per_m, equator_h_a_per_m); }
};
/// Sizes, rms for an rms moment, peak for a peak one. moment_a_m2 >= 0, frequency_hz > 0, distance_m > 0; RangeError
/// "moment_a_m2" and so on otherwise. Accuracy: a few ulp.
struct DipolePlace {
    double moment_a_m2, frequency_hz, distance_m;
};
DipoleField free_space_field(const DipolePlace& at);

/// Of free space, sqrt(mu0/eps0): 376.73 ohm.
double wave_impedance_ohm();

}  // namespace ampturn::model::emission
