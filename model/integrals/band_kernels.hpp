#pragma once

#include <array>
#include <complex>
#include <memory>
#include <vector>

#include "model/contours/band_contour.hpp"
#include "model/integrals/field_workspace.hpp"
#include "model/integrals/integral_terms.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// Kernels of one ground and frequency on the two rays that the contours of bands `first` to `last` share. The
/// reference of band b is reference_m times e^{band_log_width b}.
class BandKernels {
  public:
    struct Bands {
        int first, last;
        double reference_m;
    };
    /// The unlike contour where `check`. At most `most_shared` bands. The workspace outlives this object.
    BandKernels(const LayerKernels& kernels, contours::BandAccuracy accuracy, bool check, Bands bands,
                FieldWorkspace& workspace);
    ~BandKernels();
    BandKernels(const BandKernels&) = delete;
    BandKernels& operator=(const BandKernels&) = delete;

    /// Where singularities near the real axis end, in zeta of a band: what its table is asked for with.
    double rightmost(int band) const { return kernels_.rightmost_per_m() * reference_m(band); }

    /// Kernels at the nodes that a band has for itself.
    void evaluate_own(int band, const contours::BandTable& table, SampledKernels& own) const;

    /// Terms of a band in the places of its table: those of `whole` in that form, those of `reflected` in the other.
    void make_band_terms(int band, const contours::BandTable& table, const SampledKernels& own,
                         const Heights& heights, TermSet whole, TermSet reflected, TermArrays& out);

  private:
    double reference_m(int band) const;
    std::size_t rise_at(int band, int step) const;
    int fall_panels() const;  // on the falling ray, of all bands that take it
    std::size_t fall_at(int band) const;
    std::size_t line_at(int band) const;
    std::size_t low_end(int band) const { return rise_at(band, -shape_.j_panels); }
    void make_ray_terms(const Heights& heights, TermSet wanted);

    const LayerKernels& kernels_;
    const contours::BandShape& shape_;
    const contours::RayNodes& nodes_;
    Bands bands_;
    FieldWorkspace& workspace_;
    int last_falling_;  // last band whose contour takes the falling ray, or first - 1
    SampledKernels rise_,
        fall_;  // from the origin outward; after the falling ray the lines of each band that takes it
    Heights terms_for_{-1, -1};  // what the following are for
    TermSet terms_there_ = 0;
    RayTerms terms_;
    struct Sums {
        std::array<PowerSums, term_count> whole, reflected;
    };
    std::vector<Sums> sums_;  // one a band: over the rising ray below its J panels, in zeta of the last band
};

}  // namespace ampturn::model::integrals
