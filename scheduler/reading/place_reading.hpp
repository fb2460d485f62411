#pragma once

#include <array>
#include <complex>
#include <cstddef>

#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/tensor_reading.hpp"

namespace ampturn::reading {

/// What is the same for all places of a search at one frequency.
class PlaceTargets {
  public:
    PlaceTargets(const plan::Targets& targets, std::complex<double> plane_impedance_ohm);

  private:
    friend class PlaceReading;
    const plan::Targets& targets_;
    std::complex<double> plane_ohm_;
    double plane_norm_ohm2_;
    double relative_variance_allowed_;
};

/// A tensor at a place, worked out once and then judged in any noise: the numbers of bias_ratio(), error_ratio() and
/// needed_moment_factor() (reading_quality.hpp), for searches over many places. Its variances are linear in the noise
/// densities of E and H.
class PlaceReading {
  public:
    /// Of all the input but its noise. Keeps a reference to `targets`.
    PlaceReading(const ReadingInput& input, const PlaceTargets& targets);

    double bias_ratio() const;
    double error_ratio(const model::receiver::NoiseAt& noise) const;
    double needed_moment_factor(const model::receiver::NoiseAt& noise) const;

  private:
    const PlaceTargets& targets_;
    bool tensor_ = false, both_sent_ = false;
    std::complex<double> xy_ohm_, yx_ohm_;
    struct Element {
        bool north;                    // its E
        double per_e, per_hx, per_hy;  // variance over the densities of that E, Hx and Hy
        double sensors, allowed;       // variance
        double variance(const model::receiver::NoiseAt& noise) const {
            return per_e * (north ? noise.e_north() : noise.e_east()) + per_hx * noise.h_north() +
                   per_hy * noise.h_east();
        }
    };
    std::array<Element, 4> elements_{};
    std::size_t count_ = 0;
};

}  // namespace ampturn::reading
