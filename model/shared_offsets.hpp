#pragma once

#include <algorithm>
#include <array>
#include <complex>
#include <map>
#include <memory>
#include <optional>
#include <tuple>

#include "model/contour_table.hpp"
#include "model/dipole_integrals.hpp"

namespace ampturn::model {

/// Integrals of any number of offsets from few contours. The kernels do not depend on offset, so one contour
/// serves an octave of offsets; the integrals, freed of r^-3 e^{-i k0 r}, are smooth in log r and
/// interpolated there between 12, 24 or 48 Chebyshev points, as many as the last coefficients ask for. A
/// second, unlike contour at both ends of the octave and the size of the last coefficients give the error
/// estimate.
///
/// One object serves one ground and frequency and one thread; it keeps what it computed.
class SharedOffsets {
  public:
    SharedOffsets(const LayerKernels& kernels, double tolerance_rel);
    ~SharedOffsets();

    /// Empty where an octave cannot be shared: heights above the offsets' lower end, or waves so short that
    /// 48 points do not hold the tolerance. `rounding` of the result is the whole error estimate. Integrals
    /// of vertical dipoles are zero unless asked for.
    std::optional<IntegralsWithRounding> at(const Placement& place, bool with_vertical);

  private:
    struct Octave;
    struct Interpolant;
    struct FormChoice {
        std::array<bool, 8> whole{};
        std::array<double, 8> rounding{};
        bool any_whole() const { return std::find(whole.begin(), whole.end(), true) != whole.end(); }
        bool any_reflected() const { return std::find(whole.begin(), whole.end(), false) != whole.end(); }
    };
    Octave& octave_of(int index);
    const Interpolant& interpolant_of(int index, double source_height_m, double receiver_height_m,
                                      bool vertical);
    FormChoice choose_forms(const Octave& octave, const TermArrays& terms, const Placement& heights,
                            bool vertical) const;
    std::array<std::complex<double>, 8> scaled_integrals(const TermArrays& terms, const ContourTable& table,
                                                         std::size_t offset_index, double reference_m,
                                                         const FormChoice& choice, bool vertical) const;
    void sample(const Octave& octave, const TermArrays& terms, int points, bool vertical,
                Interpolant& out) const;

    const LayerKernels& kernels_;
    double tolerance_rel_;
    TermArrays terms_, check_terms_;  // room to work in, kept from one octave to the next
    std::map<int, std::unique_ptr<Octave>> octaves_;
    std::map<std::tuple<int, double, double, bool>, std::unique_ptr<Interpolant>> interpolants_;
    std::tuple<int, double, double, bool> last_key_{};
    const Interpolant* last_ = nullptr;
};

}  // namespace ampturn::model
