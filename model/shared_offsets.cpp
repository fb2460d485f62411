#include "model/shared_offsets.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "model/interpolation.hpp"

namespace ampturn::model {

namespace {

using Complex = std::complex<double>;

constexpr std::array members{&DipoleIntegrals::e_radial, &DipoleIntegrals::e_across,
                             &DipoleIntegrals::h_radial, &DipoleIntegrals::h_across,
                             &DipoleIntegrals::hz,       &DipoleIntegrals::v_e,
                             &DipoleIntegrals::v_hr,     &DipoleIntegrals::v_hz};
static_assert(2 * members.size() == interpolated_count);

/// Shares of the tolerance: the rest is for the loop's quadrature and for adding up.
constexpr double tail_share = 0.1;

template <class T>
DipoleIntegrals combined(const std::array<T, term_count>& t, double r, double minus) {
    return {.e_radial = t[p0] + minus * t[ps1] / r,
            .e_across = minus * t[s0] + t[ps1] / r,
            .h_radial = t[q0] + minus * t[qr1] / r,
            .h_across = t[kr0] + t[qr1] / r,
            .hz = t[pz1],
            .v_e = t[f1],
            .v_hr = t[hr1],
            .v_hz = t[hz0]};
}

}  // namespace

/// Kernels over one contour, and its table.
struct SharedOffsets::Octave {
    struct Sampled {
        std::shared_ptr<const ContourTable> table;
        ComplexArray lambda;
        SurfaceResponse response;
    };
    double reference_m;
    Sampled main, check;
    bool usable;
};

struct SharedOffsets::Interpolant {
    bool usable = false;
    FormChoice forms;
    int points = 0;
    double phase_per_m = 0;                      // of the factor taken out, k0
    std::vector<double> values;                  // [point][interpolated_count], times r^3 e^{i k0 r}
    std::array<double, members.size()> error{};  // of those, absolute
};

SharedOffsets::SharedOffsets(const LayerKernels& kernels, double tolerance_rel)
    : kernels_(kernels), tolerance_rel_(tolerance_rel) {}
SharedOffsets::~SharedOffsets() = default;

SharedOffsets::Octave& SharedOffsets::octave_of(int index) {
    std::unique_ptr<Octave>& octave = octaves_[index];
    if (octave) return *octave;
    octave = std::make_unique<Octave>();
    octave->reference_m = std::exp2(index + 0.5);
    const double rightmost = kernels_.rightmost_per_m() * octave->reference_m;
    // Longer level runs mean waves too short to interpolate.
    constexpr double most_rightmost = 700;
    octave->usable = rightmost < most_rightmost;
    if (!octave->usable) return *octave;
    auto sample = [&](Octave::Sampled& s, std::shared_ptr<const ContourTable> table) {
        s.table = std::move(table);
        s.lambda = s.table->zeta;
        for (double& x : s.lambda.re) x /= octave->reference_m;
        for (double& x : s.lambda.im) x /= octave->reference_m;
        kernels_.evaluate(s.lambda, s.response);
    };
    sample(octave->main, octave_table(12, rightmost));
    sample(octave->check, octave_check_table(rightmost));
    return *octave;
}

/// Which of the eight are taken whole, and which as reflected wave with the direct wave added in closed form.
SharedOffsets::FormChoice SharedOffsets::choose_forms(const Octave& octave, const TermArrays& terms,
                                                      const Placement& heights, bool vertical) const {
    const ContourTable& table = *octave.check.table;
    const double r = table.fractions[0] * octave.reference_m;
    const std::size_t n = table.zeta.size();
    const Wanted wanted{.vertical = vertical, .magnitude = true};
    const DipoleIntegrals whole =
        combined(sum_terms(terms.whole, table.weights[0], 0, n, wanted).magnitude, r, 1);
    const DipoleIntegrals reflected =
        combined(sum_terms(terms.reflected, table.weights[0], 0, n, wanted).magnitude, r, 1);
    const DipoleIntegrals direct =
        direct_integrals({r, heights.source_height_m, heights.receiver_height_m}, kernels_.k0_per_m());
    FormChoice choice;
    constexpr double epsilon = std::numeric_limits<double>::epsilon();
    const double scale = r * r * r;
    for (std::size_t m = 0; m < members.size(); ++m) {
        const double whole_size = (whole.*members[m]).real() / octave.reference_m;
        // The direct wave is exact but for rounding, which quadrature errors exceed by far: it weighs less.
        constexpr double direct_weight = 1e-4;
        const double direct_size = std::abs(direct.*members[m]);
        const double split_size = (reflected.*members[m]).real() / octave.reference_m;
        choice.whole[m] = whole_size <= split_size + direct_weight * direct_size;
        choice.rounding[m] = 4 * epsilon * scale * (choice.whole[m] ? whole_size : split_size + direct_size);
    }
    return choice;
}

/// The integrals of one offset in the chosen forms, times r^3 e^{i k0 r}; reflected parts without the direct
/// wave.
std::array<Complex, 8> SharedOffsets::scaled_integrals(const TermArrays& terms, const ContourTable& table,
                                                       std::size_t offset_index, double reference_m,
                                                       const FormChoice& choice, bool vertical) const {
    const double r = table.fractions[offset_index] * reference_m;
    const std::size_t n = table.zeta.size();
    const Wanted wanted{.vertical = vertical, .magnitude = false};
    DipoleIntegrals whole{}, reflected{};
    if (choice.any_whole())
        whole = combined(sum_terms(terms.whole, table.weights[offset_index], 0, n, wanted).value, r, -1);
    if (choice.any_reflected())
        reflected =
            combined(sum_terms(terms.reflected, table.weights[offset_index], 0, n, wanted).value, r, -1);
    const Complex factor = std::polar(r * r * r / reference_m, kernels_.k0_per_m() * r);
    std::array<Complex, 8> result;
    for (std::size_t m = 0; m < members.size(); ++m)
        result[m] = factor * (choice.whole[m] ? whole : reflected).*members[m];
    return result;
}

void SharedOffsets::sample(const Octave& octave, const TermArrays& terms, int points, bool vertical,
                           Interpolant& out) const {
    const std::shared_ptr<const ContourTable> table =
        octave_table(points, kernels_.rightmost_per_m() * octave.reference_m);
    out.points = points;
    out.values.assign(static_cast<std::size_t>(points) * interpolated_count, 0);
    std::array<double, members.size()> largest{};
    for (std::size_t j = 0; j < table->fractions.size(); ++j) {
        const std::array<Complex, 8> x =
            scaled_integrals(terms, *table, j, octave.reference_m, out.forms, vertical);
        for (std::size_t m = 0; m < members.size(); ++m) {
            out.values[j * interpolated_count + 2 * m] = x[m].real();
            out.values[j * interpolated_count + 2 * m + 1] = x[m].imag();
            largest[m] = std::max(largest[m], std::abs(x[m]));
        }
    }
    // The last Chebyshev coefficients bound what the interpolation leaves out.
    out.usable = true;
    for (std::size_t m = 0; m < members.size(); ++m) {
        double tail = 0;
        for (int below_last = 0; below_last < 3; ++below_last) {
            Complex coefficient = 0;
            for (int j = 0; j < points; ++j) {
                const std::size_t at = static_cast<std::size_t>(j) * interpolated_count + 2 * m;
                coefficient += last_chebyshev_polynomial(points, below_last, j) *
                               Complex(out.values[at], out.values[at + 1]);
            }
            tail = std::max(tail, std::abs(coefficient) * 2 / points);
        }
        // The lean contour itself, where the check happens to share its error.
        constexpr double least_error_rel = 2e-9;
        out.error[m] = tail + out.forms.rounding[m] + least_error_rel * largest[m];
        if (tail > tail_share * tolerance_rel_ * largest[m] + out.forms.rounding[m]) out.usable = false;
    }
}

const SharedOffsets::Interpolant& SharedOffsets::interpolant_of(int index, double source_height_m,
                                                                double receiver_height_m, bool vertical) {
    std::unique_ptr<Interpolant>& kept = interpolants_[{index, source_height_m, receiver_height_m, vertical}];
    if (kept) return *kept;
    kept = std::make_unique<Interpolant>();
    Interpolant& result = *kept;
    // Kernels decay by the heights as well as by the offset; above the offset the contour was not made for
    // it.
    if (source_height_m + receiver_height_m > std::exp2(index)) return result;
    Octave& octave = octave_of(index);
    if (!octave.usable) return result;
    const Placement heights{octave.reference_m, source_height_m, receiver_height_m};
    result.phase_per_m = kernels_.k0_per_m();
    TermArrays &terms = terms_, &check_terms = check_terms_;
    make_terms(kernels_, octave.check.lambda, octave.check.response, source_height_m, receiver_height_m,
               Forms::both, check_terms);
    result.forms = choose_forms(octave, check_terms, heights, vertical);
    make_terms(kernels_, octave.main.lambda, octave.main.response, source_height_m, receiver_height_m,
               result.forms.any_reflected() ? Forms::both : Forms::whole, terms);
    for (const int points : {12, 24, 48}) {
        sample(octave, terms, points, vertical, result);
        if (result.usable) break;
    }
    if (!result.usable) return result;

    // The unlike contour, at both ends of the octave; twice its miss, for what lies between.
    const ContourTable& table = *octave.check.table;
    for (std::size_t j = 0; j < table.fractions.size(); ++j) {
        const std::array<Complex, 8> check =
            scaled_integrals(check_terms, table, j, octave.reference_m, result.forms, vertical);
        const std::array<double, interpolated_count> main =
            interpolate(result.values, result.points, j == 0 ? -1.0 : 1.0);
        for (std::size_t m = 0; m < members.size(); ++m)
            result.error[m] =
                std::max(result.error[m], 2 * std::abs(Complex(main[2 * m], main[2 * m + 1]) - check[m]));
    }
    return result;
}

std::optional<IntegralsWithRounding> SharedOffsets::at(const Placement& place, bool with_vertical) {
    const double octave = std::log2(place.offset_m);
    const int index = static_cast<int>(std::floor(octave));
    const std::tuple key(index, place.source_height_m, place.receiver_height_m, with_vertical);
    if (last_ == nullptr || key != last_key_) {
        last_ = &interpolant_of(index, place.source_height_m, place.receiver_height_m, with_vertical);
        last_key_ = key;
    }
    if (!last_->usable) return std::nullopt;
    const std::array<double, interpolated_count> x =
        interpolate(last_->values, last_->points, 2 * (octave - index) - 1);
    const double r = place.offset_m, size = 1 / (r * r * r);
    const Complex factor =
        last_->phase_per_m == 0 ? Complex(size) : std::polar(size, -last_->phase_per_m * r);
    IntegralsWithRounding result;
    for (std::size_t m = 0; m < members.size(); ++m) {
        result.value.*members[m] = factor * Complex(x[2 * m], x[2 * m + 1]);
        result.rounding.*members[m] = size * last_->error[m];
    }
    if (last_->forms.any_reflected()) {
        const DipoleIntegrals direct = direct_integrals(place, kernels_.k0_per_m());
        for (std::size_t m = 0; m < members.size(); ++m)
            if (!last_->forms.whole[m]) result.value.*members[m] += direct.*members[m];
    }
    if (!with_vertical) result.value.v_e = result.value.v_hr = result.value.v_hz = 0;
    return result;
}

}  // namespace ampturn::model
