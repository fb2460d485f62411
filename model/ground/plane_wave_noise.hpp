#pragma once

#include <complex>

#include "model/ground/tensor.hpp"

namespace ampturn::model::ground {

/// Error bars of the impedance tensor when part of the noise is a plane wave (natural field, far mains): its
/// E and H are correlated by the ground, Ex = Z_p Hy, Ey = -Z_p Hx, so where the source's own impedance equals Z_p
/// it cancels from dZ = (dE - Z dH) H^-1 and only what the near field makes of the difference is left:
///
///     row x: v_Ex + |Z_xy|^2 v_Hy + |Z_xx|^2 (v_Hx + v_nx) + |Z_p - Z_xy|^2 v_ny
///     row y: v_Ey + |Z_yx|^2 v_Hx + |Z_yy|^2 (v_Hy + v_ny) + |Z_p + Z_yx|^2 v_nx
///
/// v the variances of the uncorrelated noise, v_nx and v_ny those of the plane wave's H; that the two go together where the wave
/// comes from one side is left out. Counting the
/// natural field as uncorrelated noise (estimate_tensor alone) is the upper limit. First order, as there.
struct PlaneNoise {
    double variance_a, variance_b;  // E|n|^2 of H in each polarisation, (A/m)^2, the mean of both axes
    double north = 1, east = 1;     // that of Hx and of Hy over the mean
};
TensorEstimate estimate_tensor_in_plane_noise(const HorizontalFields& a, const HorizontalFields& b,
                                              const HorizontalVariance& uncorrelated_a,
                                              const HorizontalVariance& uncorrelated_b,
                                              const PlaneNoise& plane,
                                              std::complex<double> plane_impedance_ohm);

}  // namespace ampturn::model::ground
