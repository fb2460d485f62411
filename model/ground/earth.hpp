#pragma once

#include <complex>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace ampturn::model::ground {

/// full keeps displacement currents in air and ground; quasi_static drops them (k of air 0, eps 0).
enum class Wavenumbers { full, quasi_static };

/// Polarisability of a layer: rho(omega) = rho [1 - m (1 - 1/(1 + (i omega tau)^c))], rho the resistivity at
/// zero frequency. Source: Pelton et al. (1978), Geophysics 43, 588.
struct ColeCole {
    double chargeability;    // m, [0, 1)
    double time_constant_s;  // tau, [1e-9, 1e6]
    double exponent;         // c, [0.01, 1]
    bool operator==(const ColeCole&) const = default;
};

/// One layer of a horizontally layered ground.
struct Layer {
    double resistivity_ohm_m;                                      // horizontal; [1e-3, 1e6]
    double thickness_m = std::numeric_limits<double>::infinity();  // [1e-3, 1e5]; infinite for the last layer
    double relative_permittivity = 1;                              // [1, 100]
    double relative_permeability = 1;                              // [0.9, 100]
    double vertical_resistivity_ratio = 1;                         // vertical over horizontal, [0.01, 100]
    std::optional<ColeCole> cole_cole = std::nullopt;              // of both resistivities alike
    bool operator==(const Layer&) const = default;
};

/// A ground of 1 to 64 layers from the top down, the last one infinite. Checks itself when made:
/// RangeError "layer.resistivity_ohm_m" and the like, with the layer's index.
class LayeredEarth {
  public:
    explicit LayeredEarth(std::vector<Layer> layers);

    std::size_t size() const { return layers_.size(); }
    std::span<const Layer> layers() const { return layers_; }
    const Layer& operator[](std::size_t index) const { return layers_[index]; }

    bool operator==(const LayeredEarth&) const = default;

    /// Admittivity sigma + i omega eps, S/m, of the layer: horizontal, and vertical.
    /// `displacement` false leaves out i omega eps (quasi-static).
    struct Admittivity {
        std::complex<double> horizontal_s_per_m, vertical_s_per_m;
    };
    Admittivity admittivity(std::size_t index, double omega_rad_per_s, bool displacement) const;

  private:
    std::vector<Layer> layers_;
};

}  // namespace ampturn::model::ground
