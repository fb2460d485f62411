#pragma once

#include <array>
#include <complex>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/reading/tensor_reading.hpp"

namespace ampturn::reading {

/// Fields of the two loops, taken as point dipoles, at any offset and bearing at one frequency: the engine
/// runs once over log-spaced offsets, everything else is rotation and interpolation. For searching over
/// places; the day itself uses the loops' outlines at the stations.
///
/// Accuracy: the point dipole differs from a loop by about (half width / offset)^2; interpolation (six-point
/// Lagrange in log offset on fields times offset^3) stays below 1e-5 of the larger component.
class OffsetFields {
  public:
    /// height_a_m, height_b_m: of the dipoles; offsets from offset_min_m (>= 1) to offset_max_m (<= 2e4).
    OffsetFields(const model::ground::LayeredEarth& earth, double frequency_hz, double height_a_m,
                 double height_b_m, double offset_min_m, double offset_max_m);

    double frequency_hz() const { return frequency_hz_; }
    std::complex<double> plane_impedance_ohm() const { return plane_impedance_ohm_; }
    /// Field per unit moment of loop A (index 0) or B (1) whose normal has this azimuth and tilt, at an
    /// offset within the range and a bearing from the site, in north and east components. std::out_of_range
    /// outside.
    FieldPerMoment at(std::size_t loop, double azimuth_deg, double tilt_deg, double offset_m,
                      double bearing_deg) const;

  private:
    static constexpr std::size_t components = 5;  // Ex Ey Hx Hy Hz
    using Components = std::array<std::complex<double>, components>;
    using Axes = std::array<Components, 3>;  // of a dipole along x, y, z with the receiver on the x axis
    Axes interpolated(std::size_t loop, double offset_m) const;

    double frequency_hz_;
    double log_first_, log_step_;
    std::complex<double> plane_impedance_ohm_;
    std::array<std::vector<Axes>, 2> scaled_;  // times offset^3, at offsets exp(log_first + i log_step)
};

}  // namespace ampturn::reading
