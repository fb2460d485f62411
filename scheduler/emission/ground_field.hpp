#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "model/loop/loop.hpp"

namespace ampturn::emission {

/// Largest magnetic field at the ground around a loop, per moment, over a layered earth: in the direction where it is largest,
/// at horizontal distances from its centre; what is as far from the loop's nearest part is no nearer to the centre. The loop
/// counts as a dipole at its centre.
class GroundField {
  public:
    /// Distances nearer than twice the reach of one of the loops, or beyond the field engine's 20 km, are left out: a
    /// dipole at the centre does not stand for the loop there.
    GroundField(const model::ground::LayeredEarth& earth, const std::array<model::loop::LoopDesign, 2>& loops,
                const std::vector<double>& distances_m);

    /// A/m per A m^2, rms for rms; nullopt where it is left out, and outside 1 Hz to 1 MHz. 0 <= loop < 2.
    std::optional<double> h_a_per_m(std::size_t loop, double frequency_hz, double distance_m);

  private:
    using PerDistance = std::vector<std::array<double, 2>>;  // of both loops
    const PerDistance& at(double frequency_hz);

    const model::ground::LayeredEarth& earth_;
    std::vector<double> distances_m_;
    std::unique_ptr<model::fields::FieldJob> job_;
    std::map<double, PerDistance> known_;
};

/// Largest value of p(c), a quadratic in c, for -1 <= c <= 1, from p(1), p(0), p(-1).
double largest_of_quadratic(double at_one, double at_zero, double at_minus_one);

}  // namespace ampturn::emission
