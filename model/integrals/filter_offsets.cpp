#include "model/integrals/filter_offsets.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "model/integrals/interpolation.hpp"
#include "model/integrals/quasi_static_filter_table.hpp"

namespace ampturn::model::integrals {

namespace {

using Complex = std::complex<double>;

// Kernels fall at least as lambda towards 0 and the filter as e^{k spacing (n+1)}:
// below e^-9 the rest is e^-27 = 2e-12.
constexpr int lowest_k = -112;
constexpr auto skipped = static_cast<std::size_t>(lowest_k - filter_first);
constexpr std::size_t used = filter_count - skipped;
constexpr std::size_t padded_used = (used + lane_count - 1) / lane_count * lane_count;
/// Tolerances below this take more rows, and are checked by the contour of single offsets: the lean one itself errs by
/// up to 1e-9.
constexpr double finest_of_few_rows_rel = 5e-8;
/// Tolerances below this are beyond the rows.
constexpr double finest_rel = 5e-9;

constexpr std::array<double, padded_used> padded(const std::array<double, filter_count>& weights) {
    std::array<double, padded_used> result{};
    std::copy(weights.begin() + skipped, weights.end(), result.begin());
    return result;
}
constexpr std::array<double, padded_used> weights_j0 = padded(filter_j0), weights_j1 = padded(filter_j1);

/// e^{spacing k}: of offsets from 0.1 m to 20 km and the wavenumbers that go with them.
double power(int k) {
    constexpr int lowest = -320, highest = 200;
    static const std::vector<double> powers = [] {
        std::vector<double> table;
        for (int i = lowest; i <= highest; ++i) table.push_back(std::exp(filter_spacing * i));
        return table;
    }();
    return powers.at(static_cast<std::size_t>(k - lowest));
}

}  // namespace

struct FilterOffsets::Curve {
    bool usable = false;
    std::vector<OffsetPolynomial> pieces;  // between rows margin - 1 and margin, and on
    std::vector<double> coefficients;      // of all pieces
};

FilterOffsets::FilterOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m,
                             double farthest_m, FieldWorkspace& workspace)
    : kernels_(kernels),
      tolerance_rel_(tolerance_rel),
      nearest_log_(std::log(nearest_m)),
      farthest_log_(std::log(farthest_m)),
      fine_(tolerance_rel < finest_of_few_rows_rel),
      map_(equispaced_piece(fine_ ? RowsOfPiece::many : RowsOfPiece::few)),
      margin_(static_cast<int>(map_.map.rows_in) / 2),
      workspace_(workspace) {
    first_ = static_cast<int>(std::floor(nearest_log_ / filter_spacing)) - margin_ + 1;
    count_ = static_cast<int>(std::floor(farthest_log_ / filter_spacing)) + margin_ - first_ + 1;
}
FilterOffsets::~FilterOffsets() = default;

void FilterOffsets::fill(Curve& curve, const Heights& heights) {
    const auto rows = static_cast<std::size_t>(count_);
    ComplexArray& lambda = workspace_.filter_abscissae.lambda;
    if (!sampled_) {
        // Node j stands for lambda = e^{spacing (lowest_k - last + j)}; the padding for the highest.
        const std::size_t nodes = used + rows - 1;
        lambda.resize((padded_used + rows - 1 + lane_count - 1) / lane_count * lane_count);
        for (std::size_t j = 0; j < lambda.size(); ++j)
            lambda.re[j] = power(lowest_k - (first_ + count_ - 1) + static_cast<int>(std::min(j, nodes - 1)));
        std::fill(lambda.im.begin(), lambda.im.end(), 0.0);
        kernels_.evaluate(lambda, workspace_.filter_abscissae.response);
        sampled_ = true;
    }
    make_lagged_kernels(lambda, workspace_.filter_abscissae.response, heights.source_m, heights.source_half_m,
                        workspace_.lagged);
    std::vector<double>& values = workspace_.rows;
    values.assign(rows * interpolated_count, 0);
    for (std::size_t i = 0; i < rows; ++i) {
        // lambda = e^{spacing k} / r: index k - lowest_k + (rows - 1 - i).
        std::array<double, 2 * lagged_count> sums;
        lagged_sums(workspace_.lagged, rows - 1 - i, {weights_j0.data(), weights_j1.data(), padded_used},
                    sums);
        const double r = power(first_ + static_cast<int>(i));
        for (std::size_t part = 0; part < 2; ++part) {
            const double pr = sums[part] * r, qr = sums[2 + part] * r;  // P0 r, Q0 r
            const double p1 = sums[4 + part], q1 = sums[6 + part];
            double* row = values.data() + i * interpolated_count + part;
            // Times r^3: e_radial = P0 - P1/r, e_across = P1/r, and so h; hz = Pz.
            row[0] = r * (pr - p1);
            row[2] = r * p1;
            row[4] = r * (qr - q1);
            row[6] = r * q1;
            row[8] = r * r * sums[8 + part];
        }
    }
    const std::size_t pieces = rows - map_.map.rows_in + 1, length = map_.coefficients * interpolated_count;
    curve.coefficients.resize(pieces * length);
    for (std::size_t i = 0; i < pieces; ++i) {
        double* coefficients = curve.coefficients.data() + i * length;
        apply(map_.map, values.data() + i * interpolated_count, coefficients);
        curve.pieces.push_back({.centre = filter_spacing * (first_ + margin_ - 0.5 + static_cast<double>(i)),
                                .per_unit = 2 / filter_spacing,
                                .count = map_.coefficients,
                                .coefficients = coefficients,
                                .error = {}});
    }
}

const OffsetPolynomial* FilterOffsets::piece_of(const Curve& curve, double log_offset) const {
    const double place = log_offset / filter_spacing - (first_ + margin_ - 1);
    return &curve.pieces[static_cast<std::size_t>(
        std::clamp(place, 0.0, static_cast<double>(curve.pieces.size() - 1)))];
}

/// Compares with the contour at both ends of the range, between rows where interpolation is at its worst.
void FilterOffsets::check(Curve& curve, const Heights& heights) const {
    // What two checks may have missed: interpolation between rows above all (docs/physics.md).
    std::array<double, horizontal_members> error_rel;
    error_rel.fill(fine_ ? 5e-10 : 4e-9);
    curve.usable = true;
    for (const double wanted : {nearest_log_, farthest_log_}) {
        const double log_r = filter_spacing * (std::floor(wanted / filter_spacing) + 0.5);
        const double r = std::exp(log_r);
        const Placement place{r, heights.source_m, 0, heights.source_half_m};
        const DipoleIntegrals exact =
            fine_ ? contour_integrals(kernels_, place, ContourChoice::main, workspace_).value
                  : lean_contour_integrals(kernels_, place, workspace_);
        const DipoleIntegrals filtered = integrals_at(*piece_of(curve, log_r), r, log_r, 0).value;
        for (std::size_t m = 0; m < horizontal_members; ++m) {
            const auto member = curve_members[m];
            // Hz is measured against the radial dipole's whole magnetic field.
            const double size = std::abs(exact.*member);
            const double miss = std::abs(filtered.*member - exact.*member);
            error_rel[m] = std::max(error_rel[m], (fine_ ? 2 : 3) * miss / size);
            const double whole =
                member == &DipoleIntegrals::hz ? std::max(size, std::abs(exact.h_radial)) : size;
            if (!(miss <= 0.3 * tolerance_rel_ * whole)) curve.usable = false;
        }
    }
    // The size on a piece is the constant term's: over 0.08 in ln r the rest changes it little.
    for (OffsetPolynomial& piece : curve.pieces)
        for (std::size_t m = 0; m < horizontal_members; ++m)
            piece.error[m] =
                error_rel[m] *
                std::sqrt(std::norm(Complex(piece.coefficients[2 * m], piece.coefficients[2 * m + 1])));
}

const FilterOffsets::Curve& FilterOffsets::curve_of(const Heights& heights) {
    std::unique_ptr<Curve>& kept = curves_[heights];
    if (kept) return *kept;
    kept = std::make_unique<Curve>();
    // The direct wave must be smooth on the rows around the nearest offset.
    if (tolerance_rel_ < finest_rel || kernels_.full_wave() ||
        heights.source_m + heights.source_half_m > 0.3 * std::exp(nearest_log_))
        return *kept;
    fill(*kept, heights);
    check(*kept, heights);
    return *kept;
}

const OffsetPolynomial* FilterOffsets::piece_at(double log_offset, const Heights& heights) {
    // TM waves show when both ends are raised.
    if (heights.receiver_m > 0 || log_offset < nearest_log_ || log_offset > farthest_log_) return nullptr;
    if (last_ == nullptr || heights != last_heights_) {
        last_ = &curve_of(heights);
        last_heights_ = heights;
    }
    return last_->usable ? piece_of(*last_, log_offset) : nullptr;
}

}  // namespace ampturn::model::integrals
