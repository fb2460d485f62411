#pragma once

#include <complex>

namespace ampturn::model::ground {

/// Impedance tensor of two source polarisations, its error bars, apparent resistivity and phase.
/// Source of the estimate and of first-order error propagation: Bevington & Robinson, Data Reduction and
/// Error Analysis (from memory); tensor of two controlled polarisations: Li & Pedersen (1991), Geophysics 56, 1456.

/// Horizontal fields of one polarisation at the receiver.
struct HorizontalFields {
    std::complex<double> ex_v_per_m, ey_v_per_m, hx_a_per_m, hy_a_per_m;
};

/// Error variance E|n|^2 of each channel's complex amplitude, in the square of the channel's unit; >= 0.
struct HorizontalVariance {
    double ex, ey, hx, hy;
};

struct ImpedanceTensor {
    std::complex<double> xx_ohm, xy_ohm, yx_ohm, yy_ohm;
};

/// Variance E|dZ|^2 of each element, ohm^2.
struct TensorVariance {
    double xx, xy, yx, yy;
};

struct TensorEstimate {
    ImpedanceTensor impedance;
    TensorVariance variance;
    double
        h_condition_number;  // of the 2x2 matrix of magnetic fields: 1 at best, large where loops act alike
};

/// Z = E H^-1 with a polarisation per column. First order: dZ = (dE - Z dH) H^-1; row i has covariance
/// H^-H diag(v_iA, v_iB) H^-1, v_ip = var(E_i,p) + sum_k |Z_ik|^2 var(H_k,p).
/// std::domain_error when the two magnetic fields are parallel within 1e-12 (no tensor exists).
TensorEstimate estimate_tensor(const HorizontalFields& a, const HorizontalFields& b,
                               const HorizontalVariance& variance_a, const HorizontalVariance& variance_b);

/// Apparent resistivity |Z|^2/(omega mu0), phase, and their standard deviations
/// sd(rho)/rho = sqrt(2) s/|Z|, sd(phase) = s/(sqrt(2)|Z|), s^2 the variance of Z.
struct SoundingPoint {
    double apparent_resistivity_ohm_m;
    double phase_deg;  // of Z for xy, of -Z for yx: 45 over uniform ground for both
    double resistivity_sd_rel;
    double phase_sd_deg;
};
SoundingPoint sounding_xy(const TensorEstimate& estimate, double frequency_hz);
SoundingPoint sounding_yx(const TensorEstimate& estimate, double frequency_hz);

/// Bias of a noise-free point against the plane wave over the same ground.
struct PlaneWaveBias {
    double resistivity_rel;  // +0.05: five per cent too high
    double phase_deg;        // in (-180, 180]
};
PlaneWaveBias plane_wave_bias(const SoundingPoint& with_source, std::complex<double> plane_wave_impedance_ohm,
                              double frequency_hz);

/// What a bias means for a sounding: inside the tolerances far field; beyond, transition; beyond 50 % in
/// apparent resistivity or 15 degrees in phase, near field (both limits are working definitions, no source; close to
/// the source resistivity swings through zero bias while the phase is tens of degrees off).
enum class Zone { far_field, transition, near_field };
struct BiasTolerance {
    double resistivity_rel = 0.05;
    double phase_deg = 2.0;
    double near_resistivity_rel = 0.5;
    double near_phase_deg = 15.0;
};
Zone zone_of(const PlaneWaveBias& bias, const BiasTolerance& tolerance);

}  // namespace ampturn::model::ground
