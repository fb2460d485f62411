#pragma once

#include <Eigen/Core>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "model/ground/tensor.hpp"
#include "model/inversion/inversion.hpp"

namespace ampturn::model::inversion {

/// The forward problems of a sounding, in the form the inversions want.

/// What may change in a ground under inversion. Permittivity, permeability and the rest stay as in `fixed`.
enum class Unknowns {
    resistivities,                 // m = ln rho_1 .. ln rho_n
    resistivities_and_thicknesses  // m = ln rho_1 .. ln rho_n, ln t_1 .. ln t_(n-1)
};
ground::LayeredEarth earth_with(const ground::LayeredEarth& fixed, Unknowns unknowns,
                                const Eigen::VectorXd& parameters);
/// The parameters of a ground: the inverse of earth_with().
Eigen::VectorXd parameters_of(const ground::LayeredEarth& earth, Unknowns unknowns);

/// Layers for a smooth inversion: the first first_m thick, interfaces log-spaced down to last_m, `count`
/// layers, resistivity the same everywhere. first_m < last_m, 2 <= count <= 64.
ground::LayeredEarth smooth_layering(double first_m, double last_m, int count, double resistivity_ohm_m,
                                     double relative_permittivity);
/// Depth of each layer's top, metres.
Eigen::VectorXd layer_tops_m(const ground::LayeredEarth& earth);

/// A ground of `count` layers that comes nearest to a smooth one: least squares of ln rho over ln depth, best
/// placing of the interfaces by dynamic programming. A start for the few-layer inversion.
ground::LayeredEarth few_layers_of(const ground::LayeredEarth& smooth, int count);

/// Data, frequency by frequency: ln rho_a and phase (rad) of the plane wave, derivatives analytic.
Forward plane_wave_forward(std::vector<double> frequencies_hz, ground::LayeredEarth fixed, Unknowns unknowns);

/// Two point sources and a receiver on the surface: what makes the tensor at a station.
struct DipolePair {
    fields::Dipole a, b;
    double receiver_x_m, receiver_y_m;
};

/// Data, frequency by frequency: ln rho_a and phase of xy, then of yx, as these sources show them, near field
/// and all. Derivatives analytic, along the contour of the fields (model/inversion/contour_sums.hpp).
/// `correction`: added to the values, four a frequency or empty; holds what a finite loop adds to a dipole,
/// found once on a ground near the truth. Values to about 1e-6. Not for use by two threads at once.
Forward source_forward(std::vector<double> frequencies_hz, ground::LayeredEarth fixed, Unknowns unknowns,
                       DipolePair sources, Eigen::VectorXd correction = {});

}  // namespace ampturn::model::inversion
