#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "model/ground/earth.hpp"

namespace ampturn::model::inversion {

/// The integrals that make the horizontal fields at the surface (model/integrals/dipole_integrals.hpp): four of a horizontal
/// dipole, and two of a vertical one.
struct SurfaceIntegrals {
    std::complex<double> e_radial, e_across, h_radial, h_across, v_e, v_hr;
};
inline constexpr std::size_t surface_integral_count = 6;

/// Nodes of a contour as arrays that vectors run over, padded to a multiple of lane_count with weights of 0.
struct ContourNodes {
    std::vector<double> lambda_re, lambda_im;              // 1/m
    std::vector<double> j0_re, j0_im, j1_re, j1_im;        // carriers of orders 0 and 1, times weight
    std::size_t size() const { return lambda_re.size(); }  // with the padding
};

/// Which derivatives are wanted.
enum class Slopes { none, resistivities, resistivities_and_thicknesses };

struct SurfaceSums {
    SurfaceIntegrals value;
    std::vector<SurfaceIntegrals> by_ln_resistivity;  // one a layer, or none
    std::vector<SurfaceIntegrals> by_ln_thickness;    // one fewer, or none
};

/// Sums over the nodes. With t = 2/(u0 + U) (TE; TM alike with y0 Z) only the reflections depend on the ground,
///
///     d(t) = -t^2/2 dU,    d(-U t) = u0 d(t),
///
/// and U climbs from layer to layer by X <- c (X + c T)/(c + X T), T = tanh(u t). With e = exp(-2 u t),
/// D = c (1 + e) + X (1 - e) and q = 4 c e/D^2 its derivatives are
///
///     dX'/dX = c q,   dX'/dc = X'/c - q X,   dX'/d(u t) = -q (X^2 - c^2),
///
/// chained from the top down (the recursion: Wait 1962, Electromagnetic Waves in Stratified Media, from memory; its
/// derivatives: by hand). Vector lanes: the same bits on every processor. Isotropic layers only, else RangeError
/// "layer.vertical_resistivity_ratio"; frequency_hz and the earth as LayerKernels takes them.
struct SurfaceJob {
    const ground::LayeredEarth& earth;
    double frequency_hz;
    ground::Wavenumbers wavenumbers;
    double source_height_m, offset_m;
    bool vertical_moment;  // without it v_e and v_hr are left 0
};
SurfaceSums surface_sums(const SurfaceJob& of, const ContourNodes& nodes, Slopes slopes);

}  // namespace ampturn::model::inversion
