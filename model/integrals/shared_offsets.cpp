#include "model/integrals/shared_offsets.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "model/integrals/interpolation.hpp"

namespace ampturn::model::integrals {

namespace {

using Complex = std::complex<double>;

constexpr std::size_t member_count = curve_members.size();

/// What the fast contours hold nearly everywhere.
constexpr double finest_of_fast_rel = 5e-8;

/// Shares of the tolerance: the rest is for the loop's quadrature and for adding up.
constexpr double tail_share = 0.1;

/// Terms that each integral is combined from, in the order of curve_members.
constexpr std::array<TermSet, member_count> terms_of{set_of(p0) | set_of(ps1),
                                                     set_of(s0) | set_of(ps1),
                                                     set_of(q0) | set_of(qr1),
                                                     set_of(kr0) | set_of(qr1),
                                                     set_of(pz1),
                                                     set_of(hz0),
                                                     set_of(f1),
                                                     set_of(hr1)};

/// The number of Chebyshev points to try after `points`, whose coefficients fell to `tail` of what is allowed
/// from `middle` half way: where they would reach it if they went on falling so.
int next_count(int points, double middle, double tail) {
    const double rate = std::log(std::max(middle / tail, 1.01)) / (0.5 * points);
    const double wanted = points + std::log(tail) / rate;
    for (const int count : chebyshev_counts)
        if (count > points && count >= wanted) return count;
    return points == chebyshev_counts[std::size(chebyshev_counts) - 1] ? 0 : *std::rbegin(chebyshev_counts);
}

Placement at_offset(Placement place, double offset_m) {
    place.offset_m = offset_m;
    return place;
}

}  // namespace

/// The contours of a band, and kernels at the nodes that it has for itself.
struct SharedOffsets::Band {
    struct Contour {
        std::shared_ptr<const contours::BandTable> table;
        SampledKernels own;
    };
    double reference_m;
    bool usable;
    double rightmost;  // of the kernels' singularities, in zeta
    Contour main, check;
};

/// Kernels on the rays of both contours.
struct SharedOffsets::Rays {
    BandKernels main, check;
    Rays(const LayerKernels& kernels, contours::BandAccuracy accuracy, const BandKernels::Bands& bands,
         FieldWorkspace& workspace)
        : main(kernels, accuracy, false, bands, workspace),
          check(kernels, accuracy, true, bands, workspace) {}
};

struct SharedOffsets::Curve {
    std::vector<OffsetPolynomial> pieces;  // empty where the band cannot be shared
    std::vector<double> coefficients;
};

SharedOffsets::SharedOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m,
                             double farthest_m, FieldWorkspace& workspace)
    : kernels_(kernels),
      tolerance_rel_(tolerance_rel),
      accuracy_(tolerance_rel < finest_of_fast_rel ? contours::BandAccuracy::fine
                                                   : contours::BandAccuracy::fast),
      workspace_(workspace) {
    const double low = std::log(nearest_m), high = std::log(farthest_m);
    const double count = std::max(1.0, std::ceil((high - low) / contours::band_log_width - 1e-9));
    first_log_ = 0.5 * (low + high - count * contours::band_log_width);
    band_count_ = static_cast<int>(count);
}
SharedOffsets::~SharedOffsets() {
    for (auto& [index, band] : bands_) {
        if (!band) continue;  // for which there was no memory
        for (Band::Contour* contour : {&band->main, &band->check})
            workspace_.bands.push_back(std::move(contour->own));
    }
}

double SharedOffsets::reference_m(int index) const {
    return std::exp(first_log_ + (index + 0.5) * contours::band_log_width);
}

SharedOffsets::Rays& SharedOffsets::rays_of(int index) {
    // Bands that were not expected have rays for themselves, so that no result depends on what was asked before.
    const bool expected = index >= 0 && index < band_count_;
    const int first = expected ? index / contours::most_shared * contours::most_shared : index;
    std::unique_ptr<Rays>& rays = rays_[first];
    if (!rays)
        rays = std::make_unique<Rays>(
            kernels_, accuracy_,
            BandKernels::Bands{
                .first = first,
                .last = expected ? std::min(first + contours::most_shared, band_count_) - 1 : index,
                .reference_m = reference_m(0)},
            workspace_);
    return *rays;
}

SharedOffsets::Band& SharedOffsets::band_of(int index) {
    std::unique_ptr<Band>& band = bands_[index];
    if (band) return *band;
    band = std::make_unique<Band>();
    band->reference_m = reference_m(index);
    // Longer level runs mean waves too short to interpolate.
    constexpr double most_rightmost = 700;
    band->usable = kernels_.rightmost_per_m() * band->reference_m < most_rightmost;
    if (!band->usable) return *band;
    Rays& rays = rays_of(index);
    band->rightmost = rays.main.rightmost(index);
    const auto fill = [&](Band::Contour& c, const BandKernels& shared,
                          std::shared_ptr<const contours::BandTable> table) {
        c.table = std::move(table);
        if (!workspace_.bands.empty()) {
            c.own = std::move(workspace_.bands.back());
            workspace_.bands.pop_back();
        }
        shared.evaluate_own(index, *c.table, c.own);
    };
    fill(band->main, rays.main, contours::band_table(accuracy_, chebyshev_counts[0], band->rightmost));
    fill(band->check, rays.check, contours::band_check_table(accuracy_, band->rightmost));
    return *band;
}

SharedOffsets::FormChoice SharedOffsets::choose_forms(const Band& band, const TermArrays& terms,
                                                      const Placement& heights, bool vertical) const {
    const contours::BandTable& table = *band.check.table;
    const double r = table.fractions[0] * band.reference_m;
    const std::size_t n = table.used[0];
    const Wanted wanted{.terms = vertical ? all_terms : horizontal_terms, .magnitude = true};
    const DipoleIntegrals whole =
        combined(sum_terms(terms.whole, table.weights[0], 0, n, wanted).magnitude, r, 1);
    const DipoleIntegrals reflected =
        combined(sum_terms(terms.reflected, table.weights[0], 0, n, wanted).magnitude, r, 1);
    const DipoleIntegrals direct = direct_integrals(at_offset(heights, r), kernels_.k0_per_m());
    FormChoice choice;
    constexpr double epsilon = std::numeric_limits<double>::epsilon();
    const double scale = r * r * r;
    for (std::size_t m = 0; m < (vertical ? member_count : horizontal_members); ++m) {
        const auto member = curve_members[m];
        const double whole_size = (whole.*member).real() / band.reference_m;
        // The direct wave is exact but for rounding, which quadrature errors exceed by far: it weighs less.
        constexpr double direct_weight = 1e-4;
        const double direct_size = std::abs(direct.*member);
        const double split_size = (reflected.*member).real() / band.reference_m;
        choice.whole[m] = whole_size <= split_size + direct_weight * direct_size;
        choice.rounding[m] = 4 * epsilon * scale * (choice.whole[m] ? whole_size : split_size + direct_size);
        (choice.whole[m] ? choice.whole_terms : choice.reflected_terms) |= terms_of[m];
    }
    return choice;
}

/// The integrals of one offset of the table, times r^3 e^{i k0 r}.
std::array<Complex, member_count> SharedOffsets::scaled_integrals(const TermArrays& terms,
                                                                  const contours::BandTable& table,
                                                                  std::size_t offset_index,
                                                                  const Placement& heights,
                                                                  const FormChoice& choice) const {
    const double r = table.fractions[offset_index] * heights.offset_m;
    const FormSums sums = sum_forms(terms, table.weights[offset_index], table.used[offset_index],
                                    choice.whole_terms, choice.reflected_terms);
    const DipoleIntegrals whole = combined(sums.whole, r, -1), reflected = combined(sums.reflected, r, -1);
    DipoleIntegrals direct{};
    if (choice.reflected_terms != 0) direct = direct_integrals(at_offset(heights, r), kernels_.k0_per_m());
    const Complex factor = std::polar(r * r * r, kernels_.k0_per_m() * r);
    std::array<Complex, member_count> result;
    for (std::size_t m = 0; m < member_count; ++m) {
        const auto member = curve_members[m];
        result[m] = factor * (choice.whole[m] ? (whole.*member) / heights.offset_m
                                              : (reflected.*member) / heights.offset_m + direct.*member);
    }
    return result;
}

/// Samples the first `members` integrals at as many points as they need; false where no number suffices.
bool SharedOffsets::sample(const Band& band, const TermArrays& terms, const Placement& heights,
                           const FormChoice& forms, std::size_t members, Curve& out) {
    std::vector<double>& values = workspace_.band_values;
    std::vector<double>& chebyshev = workspace_.chebyshev;
    for (int points = chebyshev_counts[0]; points != 0;) {
        const std::shared_ptr<const contours::BandTable> table =
            contours::band_table(accuracy_, points, band.rightmost);
        const auto n = static_cast<std::size_t>(points);
        values.assign(n * interpolated_count, 0);
        chebyshev.resize(n * interpolated_count);
        std::array<double, member_count> largest{};
        for (std::size_t j = 0; j < n; ++j) {
            const std::array<Complex, member_count> x = scaled_integrals(terms, *table, j, heights, forms);
            for (std::size_t m = 0; m < members; ++m) {
                values[j * interpolated_count + 2 * m] = x[m].real();
                values[j * interpolated_count + 2 * m + 1] = x[m].imag();
                largest[m] = std::max(largest[m], std::norm(x[m]));
            }
        }
        for (double& x : largest) x = std::sqrt(x);
        // The last Chebyshev coefficients bound what the interpolation leaves out.
        apply(chebyshev_coefficients(points), values.data(), chebyshev.data());
        auto largest_coefficient = [&](std::size_t from, std::size_t to, std::size_t m) {
            double result = 0;
            for (std::size_t k = from; k < to; ++k)
                result = std::max(result, std::norm(Complex(chebyshev[k * interpolated_count + 2 * m],
                                                            chebyshev[k * interpolated_count + 2 * m + 1])));
            return std::sqrt(result);
        };
        std::array<double, member_count> error{};
        int next = 0;
        bool enough = true;
        for (std::size_t m = 0; m < members; ++m) {
            const double tail = largest_coefficient(n - 3, n, m);
            const double allowed = tail_share * tolerance_rel_ * largest[m] + forms.rounding[m];
            // The contour itself, where the check happens to share its error.
            const double least_error_rel = accuracy_ == contours::BandAccuracy::fine ? 1e-12 : 2e-9;
            error[m] = tail + forms.rounding[m] + least_error_rel * largest[m];
            if (tail <= allowed) continue;
            enough = false;
            const int wanted =
                next_count(points, largest_coefficient(n / 2 - 1, n / 2 + 1, m) / allowed, tail / allowed);
            next = std::max(next, wanted);
        }
        if (!enough) {
            points = next;
            continue;
        }
        const PiecewiseFit& map = chebyshev_pieces(points);
        out.coefficients.resize(map.map.rows_out * interpolated_count);
        apply(map.map, values.data(), out.coefficients.data());
        const double width = contours::band_log_width / static_cast<double>(map.pieces);
        for (std::size_t p = 0; p < map.pieces; ++p)
            out.pieces.push_back(
                {.centre = std::log(band.reference_m) - 0.5 * contours::band_log_width +
                           (static_cast<double>(p) + 0.5) * width,
                 .per_unit = 2 / width,
                 .count = map.coefficients,
                 .coefficients = out.coefficients.data() + p * map.coefficients * interpolated_count,
                 .error = error});
        return true;
    }
    return false;
}

const SharedOffsets::Curve& SharedOffsets::curve_of(const Key& key) {
    std::unique_ptr<Curve>& kept = curves_[key];
    if (kept) return *kept;
    kept = std::make_unique<Curve>();
    Curve& curve = *kept;
    const auto& [index, heights, vertical] = key;
    // Kernels decay by the heights as well as by the offset; above the offset the contour was not made for it.
    if (heights.source_m + heights.source_half_m + heights.receiver_m >
        std::exp(first_log_ + index * contours::band_log_width))
        return curve;
    Band& band = band_of(index);
    if (!band.usable) return curve;
    const Placement place{band.reference_m, heights.source_m, heights.receiver_m, heights.source_half_m};
    Rays& rays = rays_of(index);
    const TermSet all = vertical ? all_terms : horizontal_terms;
    rays.check.make_band_terms(index, *band.check.table, band.check.own, heights, all, all,
                               workspace_.band_check_terms);
    const FormChoice forms = choose_forms(band, workspace_.band_check_terms, place, vertical);
    rays.main.make_band_terms(index, *band.main.table, band.main.own, heights, forms.whole_terms,
                              forms.reflected_terms, workspace_.band_terms);
    const std::size_t members = vertical ? member_count : horizontal_members;
    if (!sample(band, workspace_.band_terms, place, forms, members, curve)) return curve;

    // The unlike contour, at both ends of the band; twice its miss, for what lies between.
    std::array<double, member_count> error = curve.pieces.front().error;
    const contours::BandTable& table = *band.check.table;
    for (std::size_t j = 0; j < table.fractions.size(); ++j) {
        const std::array<Complex, member_count> check =
            scaled_integrals(workspace_.band_check_terms, table, j, place, forms);
        const OffsetPolynomial& piece = j == 0 ? curve.pieces.front() : curve.pieces.back();
        const double log_r = piece.centre + (j == 0 ? -1 : 1) / piece.per_unit;
        const DipoleIntegrals main = integrals_at(piece, 1, log_r, 0).value;  // scaled: at r = 1, phase 0
        for (std::size_t m = 0; m < members; ++m)
            error[m] = std::max(error[m], 2 * std::abs(main.*curve_members[m] - check[m]));
    }
    for (OffsetPolynomial& piece : curve.pieces) piece.error = error;
    return curve;
}

const OffsetPolynomial* SharedOffsets::piece_at(double log_offset, const Heights& heights,
                                                bool with_vertical) {
    const double place = (log_offset - first_log_) / contours::band_log_width;
    const Key key(static_cast<int>(std::floor(place)), heights, with_vertical);
    if (last_ == nullptr || key != last_key_) {
        last_ = &curve_of(key);
        last_key_ = key;
    }
    if (last_->pieces.empty()) return nullptr;
    const auto count = static_cast<double>(last_->pieces.size());
    const double piece = (place - std::get<0>(key)) * count;
    return &last_->pieces[static_cast<std::size_t>(std::clamp(piece, 0.0, count - 1))];
}

}  // namespace ampturn::model::integrals
