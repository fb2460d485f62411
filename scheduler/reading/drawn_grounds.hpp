#pragma once

#include <optional>
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

/// Stations' responses over grounds drawn around a plan's own, for who draws hundreds: loops as point dipoles at their centres,
/// whose fields follow the layers' resistivities by a polynomial at each frequency, made once.
class DrawnGrounds {
  public:
    /// Accurate to `tolerance_rel` of a station's E and H vectors, which is tried out on drawn grounds the polynomials were not made
    /// from. Empty where point dipoles do not do, or no polynomials of reasonable size do.
    static std::optional<DrawnGrounds> make(const plan::Plan& plan, const setup::SurveySetup& setup,
                                            double tolerance_rel, unsigned threads);

    /// Loops lean and point as `drawn` has them. `drawn_setup` holds its grounds: those of the plan, set off by `layer_decades`.
    /// Empty where that is further than SparsePolynomial::reach standard deviations in any layer (one in 700).
    std::optional<std::vector<FrequencyResponse>> responses(const plan::Plan& drawn,
                                                            const setup::SweepSetup& drawn_setup,
                                                            std::span<const double> layer_decades) const;

    /// Of all frequencies together.
    std::size_t terms() const;

  private:
    DrawnGrounds(std::size_t frequencies, std::size_t layers, double sd_decades)
        : polynomials_(frequencies, model::SparsePolynomial(layers)), sd_decades_(sd_decades) {}
    std::optional<std::vector<double>> place_of(std::span<const double> layer_decades) const;

    std::vector<model::SparsePolynomial> polynomials_;  // frequency by frequency
    double sd_decades_;
};

}  // namespace ampturn::reading
