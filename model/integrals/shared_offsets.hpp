#pragma once

#include <array>
#include <complex>
#include <map>
#include <memory>
#include <optional>
#include <tuple>
#include <vector>

#include "model/integrals/band_kernels.hpp"
#include "model/integrals/dipole_integrals.hpp"
#include "model/integrals/field_workspace.hpp"
#include "model/integrals/offset_curve.hpp"

namespace ampturn::model::integrals {

/// Integrals of any number of offsets from few kernels. Those do not depend on offset, so one contour serves a band of
/// offsets (a factor of 2.8), and the contours of all bands have most of their nodes in common (band_contour.hpp). The
/// integrals, freed of r^-3 e^{-i k0 r}, are smooth in log r and interpolated there between 16 to 64 Chebyshev
/// points, as many as the last coefficients ask for. A second, unlike contour at both ends of the band and the size
/// of the last coefficients give the error estimate.
///
/// One object serves one ground and frequency and one thread; it keeps what it computed.
class SharedOffsets {
  public:
    /// Bands are laid to cover [nearest_m, farthest_m] with as few as possible; others are made where asked.
    SharedOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m, double farthest_m,
                  FieldWorkspace& workspace);
    ~SharedOffsets();

    /// The curve around an offset, or nullptr where a band cannot be shared: heights above the offsets' lower
    /// end, or waves so short that 64 points do not hold the tolerance. Its errors are the whole error
    /// estimate. Integrals of vertical dipoles are not there unless asked for. Lives as long as this object.
    const OffsetPolynomial* piece_at(double log_offset, const Heights& heights, bool with_vertical);

  private:
    struct Band;
    struct Rays;
    struct Curve;
    /// Which of the eight are taken whole, and which as reflected wave with the direct wave added in closed
    /// form; and the terms that takes.
    struct FormChoice {
        std::array<bool, curve_members.size()> whole{};
        std::array<double, curve_members.size()> rounding{};
        TermSet whole_terms = 0, reflected_terms = 0;
    };
    using Key = std::tuple<int, Heights, bool>;  // band, heights, with vertical
    double reference_m(int index) const;
    Rays& rays_of(int index);
    Band& band_of(int index);
    const Curve& curve_of(const Key& key);
    FormChoice choose_forms(const Band& band, const TermArrays& terms, const Placement& heights,
                            bool vertical) const;
    std::array<std::complex<double>, curve_members.size()> scaled_integrals(const TermArrays& terms,
                                                                            const contours::BandTable& table,
                                                                            std::size_t offset_index,
                                                                            const Placement& heights,
                                                                            const FormChoice& choice) const;
    bool sample(const Band& band, const TermArrays& terms, const Placement& heights, const FormChoice& forms,
                std::size_t members, Curve& out);

    const LayerKernels& kernels_;
    double tolerance_rel_;
    contours::BandAccuracy accuracy_;
    double first_log_;  // lower end of band 0
    int band_count_;    // expected
    FieldWorkspace& workspace_;
    std::map<int, std::unique_ptr<Rays>> rays_;
    std::map<int, std::unique_ptr<Band>> bands_;
    std::map<Key, std::unique_ptr<Curve>> curves_;
    Key last_key_{};
    const Curve* last_ = nullptr;
};

}  // namespace ampturn::model::integrals
