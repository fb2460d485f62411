#include "model/filter_offsets.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "model/contour_table.hpp"
#include "model/interpolation.hpp"
#include "model/quasi_static_filter_table.hpp"

namespace ampturn::model {

namespace {

using Complex = std::complex<double>;

// Kernels fall at least as lambda towards 0 and the filter as e^{k spacing (n+1)}: below e^-12 the rest is
// 1e-10.
constexpr int lowest_k = -150;
constexpr int highest_k = filter_first + filter_count - 1;
constexpr int used_count = highest_k - lowest_k + 1;
constexpr int interpolation_points = 10;
constexpr int margin = interpolation_points / 2;  // rows needed on either side of an offset

constexpr std::array members{&DipoleIntegrals::e_radial, &DipoleIntegrals::e_across,
                             &DipoleIntegrals::h_radial, &DipoleIntegrals::h_across, &DipoleIntegrals::hz};

/// Terms of horizontal dipoles. S0 is zero whole, and the image of the direct wave when reflected alone.
constexpr std::array<Term, 6> terms_used{p0, s0, q0, ps1, qr1, pz1};

}  // namespace

/// Rows of offsets e^{spacing (first + row/2)}, times r^3.
struct FilterOffsets::Table {
    bool usable = false;
    std::vector<double> values;                      // [row][interpolated_count]
    std::array<double, members.size()> error_rel{};  // of each integral, of its value at the offset
};

FilterOffsets::FilterOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m,
                             double farthest_m)
    : kernels_(kernels), tolerance_rel_(tolerance_rel), nearest_m_(nearest_m), farthest_m_(farthest_m) {
    first_ = static_cast<int>(std::floor(std::log(nearest_m) / filter_spacing)) - margin;
    count_ = static_cast<int>(std::ceil(std::log(farthest_m) / filter_spacing)) + margin - first_ + 1;
}
FilterOffsets::~FilterOffsets() = default;

void FilterOffsets::evaluate_kernels() {
    if (combs_[0].lambda.size() > 0) return;
    // Node j stands for lambda = e^{spacing (lowest_k - last + j)}, half a spacing less in the second comb.
    const int last = first_ + count_ - 1;
    const auto nodes = static_cast<std::size_t>(used_count + count_ - 1);
    for (std::size_t half = 0; half < 2; ++half) {
        Comb& comb = combs_[half];
        comb.lambda.resize((nodes + lane_count - 1) / lane_count * lane_count);
        for (std::size_t j = 0; j < comb.lambda.size(); ++j)
            comb.lambda.re[j] =
                std::exp(filter_spacing * (lowest_k - last + static_cast<int>(std::min(j, nodes - 1)) -
                                           0.5 * static_cast<double>(half)));
        kernels_.evaluate(comb.lambda, comb.response);
    }
}

void FilterOffsets::fill(Table& table, double source_height_m, double receiver_height_m) {
    evaluate_kernels();
    table.values.assign(2 * static_cast<std::size_t>(count_) * interpolated_count, 0);
    for (std::size_t half = 0; half < 2; ++half) {
        make_terms(kernels_, combs_[half].lambda, combs_[half].response, source_height_m, receiver_height_m,
                   Forms::both, terms_);
        for (int i = 0; i < count_; ++i) fill_row(table, i, half, source_height_m, receiver_height_m);
    }
    table.usable = true;
    // The interpolation's own error, and what two checks may have missed.
    constexpr double least_error_rel = 1e-9;
    table.error_rel.fill(least_error_rel);
}

/// Weak reflection: the reflected wave alone, the direct one in closed form, keeps small parts exact.
bool FilterOffsets::is_split(std::size_t half, int i) const {
    const auto at_1_over_r = static_cast<std::size_t>(count_ - 1 - i - lowest_k);
    return std::norm(combs_[half].response.te_reflection[at_1_over_r]) < 0.01;
}

void FilterOffsets::fill_row(Table& table, int i, std::size_t half, double source_height_m,
                             double receiver_height_m) {
    const auto used = static_cast<std::size_t>(used_count);
    const std::size_t skipped = static_cast<std::size_t>(lowest_k - filter_first);
    const double r = std::exp(filter_spacing * (first_ + i + 0.5 * static_cast<double>(half)));
    // lambda = b_k / r: index k - lowest_k + (count - 1 - i).
    const auto start = static_cast<std::size_t>(count_ - 1 - i);
    const bool split = any_split_ && is_split(half, i);
    const auto& kernels = split ? terms_.reflected : terms_.whole;
    std::array<Complex, term_count> sum{};
    for (const Term t : terms_used) {
        if (t == s0 && !split) continue;
        const double* weights = (t < first_j1_term ? filter_j0 : filter_j1).data() + skipped;
        sum[t] = filter_sum(kernels[t].re.data() + start, kernels[t].im.data() + start, weights, used) / r;
    }
    DipoleIntegrals value{.e_radial = sum[p0] - sum[ps1] / r,
                          .e_across = sum[ps1] / r - sum[s0],
                          .h_radial = sum[q0] - sum[qr1] / r,
                          .h_across = sum[qr1] / r,
                          .hz = sum[pz1],
                          .v_e = 0,
                          .v_hr = 0,
                          .v_hz = 0};
    if (split) {
        const DipoleIntegrals direct = direct_integrals({r, source_height_m, receiver_height_m}, 0);
        for (const auto member : members) value.*member += direct.*member;
    }
    const std::size_t row = 2 * static_cast<std::size_t>(i) + half;
    for (std::size_t m = 0; m < members.size(); ++m) {
        const Complex x = r * r * r * (value.*members[m]);
        table.values[row * interpolated_count + 2 * m] = x.real();
        table.values[row * interpolated_count + 2 * m + 1] = x.imag();
    }
}

/// Compares with the contour at both ends of the range, between rows where interpolation is
/// at its worst.
void FilterOffsets::check(Table& table, double source_height_m, double receiver_height_m) {
    for (const double share : {0.0, 1.0}) {
        const double wanted = std::exp((1 - share) * std::log(nearest_m_) + share * std::log(farthest_m_));
        const double r = std::exp(filter_spacing * (std::floor(std::log(wanted) / filter_spacing) + 0.25));
        if (r < nearest_m_ || r > farthest_m_) continue;
        const Placement place{r, source_height_m, receiver_height_m};
        const DipoleIntegrals exact = lean_contour_integrals(kernels_, place);
        const std::optional<IntegralsWithRounding> filtered = at(place);
        for (std::size_t m = 0; m < members.size(); ++m) {
            // Hz is measured against the radial dipole's whole magnetic field.
            const double size = std::abs(exact.*members[m]);
            const double miss = std::abs(filtered->value.*members[m] - exact.*members[m]);
            table.error_rel[m] = std::max(table.error_rel[m], 3 * miss / size);
            const double whole = m == 4 ? std::max(size, std::abs(exact.h_radial)) : size;
            if (miss > 0.3 * tolerance_rel_ * whole) table.usable = false;
        }
    }
}

const FilterOffsets::Table& FilterOffsets::table_of(double source_height_m, double receiver_height_m) {
    std::unique_ptr<Table>& kept = tables_[{source_height_m, receiver_height_m}];
    if (kept) return *kept;
    kept = std::make_unique<Table>();
    // The direct wave must be smooth on the rows around the nearest offset; TM waves show when both ends are
    // raised.
    const bool smooth = source_height_m + receiver_height_m <= 0.3 * nearest_m_;
    if (kernels_.full_wave() || !smooth || receiver_height_m > 0) return *kept;
    fill(*kept, source_height_m, receiver_height_m);
    last_ = kept.get();
    last_key_ = {source_height_m, receiver_height_m};
    check(*kept, source_height_m, receiver_height_m);
    return *kept;
}

std::optional<IntegralsWithRounding> FilterOffsets::at(const Placement& place) {
    const double r = place.offset_m;
    if (r < nearest_m_ || r > farthest_m_) return std::nullopt;
    const std::tuple key(place.source_height_m, place.receiver_height_m);
    if (last_ == nullptr || key != last_key_) {
        last_ = &table_of(place.source_height_m, place.receiver_height_m);
        last_key_ = key;
    }
    if (!last_->usable) return std::nullopt;
    const double x = 2 * (std::log(r) / filter_spacing - first_);  // in rows
    const int row = std::clamp(static_cast<int>(x) - margin + 1, 0, 2 * count_ - interpolation_points);
    const std::array<double, interpolated_count> v = interpolate_equispaced(
        last_->values.data() + static_cast<std::size_t>(row) * interpolated_count, x - row);
    const double size = 1 / (r * r * r);
    IntegralsWithRounding result{};
    for (std::size_t m = 0; m < members.size(); ++m) {
        const Complex value = size * Complex(v[2 * m], v[2 * m + 1]);
        result.value.*members[m] = value;
        result.rounding.*members[m] = last_->error_rel[m] * std::sqrt(std::norm(value));
    }
    return result;
}

}  // namespace ampturn::model
