#pragma once

#include <span>
#include <vector>

#include "model/base/sparse_polynomial.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reading {

/// The most layers of a plan's grounds.
std::size_t most_layers(const plan::Plan& plan);
/// The plan with each layer's resistivity off by a power of ten: one number a layer, the same for layers of the same number in
/// all grounds. What made one ground too resistive made all.
void set_off(plan::Plan& plan, std::span<const double> layer_decades);

/// Stations' responses over grounds drawn around a plan's own, for who draws hundreds.
class DrawnGrounds {
  public:
    /// Loops as large as they are; as point dipoles at their centres, where that does; and where the dipoles' fields follow the
    /// layers' resistivities by polynomials of reasonable size, one a frequency, by those.
    enum class Way { loops, dipoles, polynomials };

    /// Accurate to `tolerance_rel` of a station's E and H vectors, which is tried out for polynomials on drawn grounds they were
    /// not made from.
    static DrawnGrounds make(const plan::Plan& plan, const setup::SurveySetup& setup, double tolerance_rel,
                             unsigned threads);

    /// Loops lean and point as `drawn` has them. `drawn_setup` holds its grounds: those of the plan, set off by `layer_decades`.
    std::vector<FrequencyResponse> responses(const plan::Plan& drawn, const setup::SweepSetup& drawn_setup,
                                             std::span<const double> layer_decades) const;

    /// Polynomials end SparsePolynomial::reach standard deviations off in any layer (one draw in 700): dipoles from there.
    Way way_to(std::span<const double> layer_decades) const;
    /// Of all polynomials together.
    std::size_t terms() const;

  private:
    std::vector<double> place_of(std::span<const double> layer_decades) const;
    void make_polynomials(const plan::Plan& plan, const setup::SurveySetup& setup, std::size_t numbers,
                          unsigned threads);

    double tolerance_rel_ = 0, sd_decades_ = 0;
    bool dipoles_do_ = false;
    std::vector<model::SparsePolynomial> polynomials_;  // frequency by frequency, or none
};

}  // namespace ampturn::reading
