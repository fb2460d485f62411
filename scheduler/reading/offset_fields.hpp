#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <vector>

#include "model/ground/earth.hpp"
#include "scheduler/reading/tensor_reading.hpp"

namespace ampturn::reading {

/// Log-spaced offsets that fields are computed at, and how to interpolate between them: six-point Lagrange in log offset, the same
/// for every frequency.
class OffsetGrid {
  public:
    static constexpr std::size_t points = 6;
    /// Offsets from offset_min_m (>= 1) to offset_max_m (<= 2e4), rising; std::invalid_argument otherwise.
    OffsetGrid(double offset_min_m, double offset_max_m);

    std::size_t size() const { return count_; }
    double offset_m(std::size_t i) const;

    struct Weights {
        std::size_t first;                  // of the six rows
        std::array<double, points> weight;  // of fields times offset^3; the cube is taken out again
    };
    /// std::out_of_range outside.
    Weights at(double offset_m) const;

  private:
    double offset_max_m_;
    double log_first_, log_step_;
    std::size_t count_;
};

/// A bearing from the site, ready for use.
struct Way {
    explicit Way(double bearing_deg);
    double north, east;  // cosine and sine
};

/// Where the normal of a loop points, ready for use.
struct LoopNormal {
    LoopNormal(double azimuth_deg, double tilt_deg);
    double north, east, down;
};

/// Fields of the two loops, taken as point dipoles, at any offset and bearing at one frequency: the engine
/// runs once over log-spaced offsets, everything else is rotation and interpolation. For searching over
/// places; the day itself uses the loops' outlines at the stations.
///
/// Accuracy: the point dipole differs from a loop by about (half width / offset)^2; the rest (the tolerance of the fields and
/// the interpolation of fields times offset^3) stays below 2e-5 of the larger component.
class OffsetFields {
  public:
    /// What searches over places ask of the engine: they judge ratios to per cents.
    static constexpr double search_tolerance_rel = 1e-5;

    /// height_a_m, height_b_m: of the dipoles.
    OffsetFields(const model::ground::LayeredEarth& earth, double frequency_hz, double height_a_m,
                 double height_b_m, const OffsetGrid& grid, double tolerance_rel = search_tolerance_rel);

    double frequency_hz() const { return frequency_hz_; }
    std::complex<double> plane_impedance_ohm() const { return plane_impedance_ohm_; }

    /// What is there at an offset whatever the bearing: fields of dipoles along x (towards the receiver), y and z (down), in
    /// that frame. A dipole along y has Ex and Hy alone, the others Ey, Hx and Hz alone.
    struct Axes {
        std::complex<double> ex_y, hy_y, ey_x, hx_x, hz_x, ey_z, hx_z, hz_z;
    };
    /// Of loop A (index 0) or B (1); the same where both hang at one height.
    Axes axes(std::size_t loop, const OffsetGrid::Weights& at) const;
    bool same_height() const { return tables_[1].empty(); }
    /// Field per unit moment in north and east components.
    static FieldPerMoment turned(const Axes& axes, const LoopNormal& normal, const Way& way);

    /// The same in one go. std::out_of_range outside the grid.
    FieldPerMoment at(std::size_t loop, double azimuth_deg, double tilt_deg, double offset_m,
                      double bearing_deg) const;

  private:
    static constexpr std::size_t numbers = 16;
    double frequency_hz_;
    OffsetGrid grid_;
    std::complex<double> plane_impedance_ohm_;
    std::array<std::vector<double>, 2>
        tables_;  // [offset][number], times offset^3; the second empty: as the first
};

}  // namespace ampturn::reading
