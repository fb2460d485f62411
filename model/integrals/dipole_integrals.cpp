#include "model/integrals/dipole_integrals.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "model/base/constants.hpp"
#include "model/base/gauss_legendre.hpp"
#include "model/contours/contour.hpp"
#include "model/contours/contour_table.hpp"
#include "model/contours/hankel.hpp"

namespace ampturn::model::integrals {

namespace {

using Complex = std::complex<double>;

constexpr std::array members{&DipoleIntegrals::e_radial, &DipoleIntegrals::e_across,
                             &DipoleIntegrals::h_radial, &DipoleIntegrals::h_across,
                             &DipoleIntegrals::hz,       &DipoleIntegrals::v_e,
                             &DipoleIntegrals::v_hr,     &DipoleIntegrals::v_hz};

/// Keeps, for each integral, the form whose sum cancelled less.
IntegralsWithRounding better_form(const TermSums& whole, const TermSums& reflected, const Placement& place,
                                  double k0_per_m, bool allow_whole) {
    const DipoleIntegrals a = combined(whole.value, place.offset_m, -1);
    const DipoleIntegrals a_size = combined(whole.magnitude, place.offset_m, 1);
    const DipoleIntegrals b = combined(reflected.value, place.offset_m, -1);
    const DipoleIntegrals b_size = combined(reflected.magnitude, place.offset_m, 1);
    const DipoleIntegrals direct = direct_integrals(place, k0_per_m);
    constexpr double epsilon = std::numeric_limits<double>::epsilon();
    IntegralsWithRounding result;
    for (const auto member : members) {
        const double whole_size = (a_size.*member).real();
        const double split_size = (b_size.*member).real() + std::abs(direct.*member);
        const bool take_whole = allow_whole && whole_size <= split_size;
        result.value.*member = take_whole ? a.*member : b.*member + direct.*member;
        result.rounding.*member = epsilon * (take_whole ? whole_size : split_size);
    }
    return result;
}

/// Limit of partial sums by Wynn's epsilon algorithm: of the even columns' last entries the pair that agrees best.
Complex epsilon_limit(const std::vector<Complex>& partial) {
    std::vector<Complex> previous(partial.size() + 1, 0), current = partial;
    Complex best = partial.back();
    double best_change = std::numeric_limits<double>::infinity();
    Complex last_even = partial.back();
    for (std::size_t column = 1; current.size() > 1; ++column) {
        std::vector<Complex> next(current.size() - 1);
        for (std::size_t i = 0; i < next.size(); ++i) {
            const Complex difference = current[i + 1] - current[i];
            if (difference == 0.0) return current[i];
            next[i] = previous[i + 1] + 1.0 / difference;
        }
        previous = std::move(current);
        current = std::move(next);
        if (column % 2 == 0) {
            const double change = std::abs(current.back() - last_even);
            if (change < best_change) {
                best_change = change;
                best = current.back();
            }
            last_even = current.back();
        }
    }
    return best;
}

DipoleIntegrals direct_of_point(double r, double drop, double k0_per_m) {
    const double distance = std::hypot(r, drop);
    const Complex g(0, k0_per_m * distance);
    const Complex wave = std::exp(-g) / (distance * distance * distance);
    const Complex one = 1.0 + g, three = 3.0 + 3.0 * g + g * g, transverse = one + g * g;
    const double sine = r / distance, cosine = drop / distance;
    return {.e_radial = drop * one * wave,
            .e_across = drop * one * wave,
            .h_radial = (three * sine * sine - transverse) * wave,
            .h_across = -transverse * wave,
            .hz = three * sine * cosine * wave,
            .v_e = r * one * wave,
            .v_hr = -three * sine * cosine * wave,
            .v_hz = (three * cosine * cosine - transverse) * wave};
}

/// The rule over a column that leaves 1e-15: the field is analytic up to its poles, at `ratio` half lengths or more off the
/// column's line (Trefethen 2008, theorem 4.5, from memory).
const GaussLegendre& column_rule(double ratio) {
    static const std::array<GaussLegendre, 3> rules{gauss_legendre(6), gauss_legendre(10),
                                                    gauss_legendre(24)};
    return rules[ratio > 9 ? 0 : ratio > 2.9 ? 1 : 2];
}

}  // namespace

DipoleIntegrals direct_integrals(const Placement& place, double k0_per_m) {
    const double drop = place.source_height_m - place.receiver_height_m;  // receiver below source: > 0
    if (place.source_half_height_m == 0) return direct_of_point(place.offset_m, drop, k0_per_m);
    const GaussLegendre& rule = column_rule(place.offset_m / place.source_half_height_m);
    DipoleIntegrals mean{};
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
        const DipoleIntegrals x =
            direct_of_point(place.offset_m, drop + rule.nodes[i] * place.source_half_height_m, k0_per_m);
        for (const auto member : members) mean.*member += 0.5 * rule.weights[i] * (x.*member);
    }
    return mean;
}

namespace {

/// Kernels on lambda = zeta / scale, left in the workspace.
const TermArrays& evaluate(const LayerKernels& kernels, const Placement& place, const ComplexArray& zeta,
                           double scale, Forms forms, FieldWorkspace& workspace) {
    ComplexArray& lambda = workspace.own.lambda;
    const std::size_t n = zeta.size();
    lambda.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        lambda.re[i] = zeta.re[i] / scale;
        lambda.im[i] = zeta.im[i] / scale;
    }
    kernels.evaluate(lambda, workspace.own.response);
    make_terms(kernels, {workspace.own, 0, n},
               {place.source_height_m, place.receiver_height_m, place.source_half_height_m}, forms,
               workspace.own_terms);
    return workspace.own_terms;
}

TermSums scaled(TermSums sums, double factor) {
    for (std::size_t t = 0; t < term_count; ++t) {
        sums.value[t] *= factor;
        sums.magnitude[t] *= factor;
    }
    return sums;
}

/// A contour made for this placement alone: nodes and, per node, J_n(zeta offset/scale) times the weight.
struct OwnContour {
    ComplexArray zeta;
    CarrierWeights weights;

    void add(Complex at, Complex weight, double offset_over_scale) {
        const contours::Orders01 j = contours::bessel_j01(at * offset_over_scale);
        const auto push = [](ComplexArray& a, Complex x) {
            a.re.push_back(x.real());
            a.im.push_back(x.imag());
        };
        push(zeta, at);
        push(weights.order_0, weight * j.order_0);
        push(weights.order_1, weight * j.order_1);
    }
    void pad() {
        while (zeta.size() % lane_count != 0) add({zeta.re.back(), zeta.im.back()}, 0, 0);
    }
};

}  // namespace

IntegralsWithRounding contour_integrals(const LayerKernels& kernels, const Placement& place,
                                        ContourChoice choice, FieldWorkspace& workspace) {
    const double height = place.source_top_m() + place.receiver_height_m;
    if (place.offset_m > height) {
        const std::shared_ptr<const contours::ContourTable> table = contours::single_offset_table(
            choice == ContourChoice::check, kernels.rightmost_per_m() * place.offset_m);
        const TermArrays& terms =
            evaluate(kernels, place, table->zeta, place.offset_m, Forms::both, workspace);
        const std::size_t n = table->zeta.size();
        return better_form(scaled(sum_terms(terms.whole, table->weights, 0, n), 1 / place.offset_m),
                           scaled(sum_terms(terms.reflected, table->weights, 0, n), 1 / place.offset_m),
                           place, kernels.k0_per_m(), true);
    }
    // The heights end the integral before the carrier oscillates: J whole, scaled to the height.
    const contours::ContourShape shape =
        choice == ContourChoice::main ? contours::main_shape() : contours::check_shape();
    OwnContour contour;
    for (const contours::ContourNode& node : contours::make_contour(
             shape, contours::level_panels(shape, kernels.rightmost_per_m() * height), false, 1))
        contour.add(node.zeta, node.weight, place.offset_m / height);
    contour.pad();
    const TermArrays& terms = evaluate(kernels, place, contour.zeta, height, Forms::both, workspace);
    const TermSums reflected =
        scaled(sum_terms(terms.reflected, contour.weights, 0, contour.zeta.size()), 1 / height);
    return better_form(reflected, reflected, place, kernels.k0_per_m(), false);
}

DipoleIntegrals lean_contour_integrals(const LayerKernels& kernels, const Placement& place,
                                       FieldWorkspace& workspace) {
    const std::shared_ptr<const contours::ContourTable> table =
        contours::lean_offset_table(kernels.rightmost_per_m() * place.offset_m);
    const TermArrays& terms = evaluate(kernels, place, table->zeta, place.offset_m, Forms::whole, workspace);
    const TermSums sums = sum_terms(terms.whole, table->weights, 0, table->zeta.size(),
                                    {.terms = horizontal_terms, .magnitude = false});
    return combined(scaled(sums, 1 / place.offset_m).value, place.offset_m, -1);
}

IntegralsWithRounding real_axis_integrals(const LayerKernels& kernels, const Placement& place,
                                          FieldWorkspace& workspace) {
    const double height = place.source_top_m() + place.receiver_height_m;
    const bool oscillates = place.offset_m > height;
    const double scale = oscillates ? place.offset_m : height;
    // A level line one unit above the axis: every singularity stays below it, whatever the ground.
    const Complex start(1, 1);
    std::vector<std::pair<Complex, Complex>> panels;
    for (Complex end = start;; end /= 3) {
        const bool last = std::abs(end) < 1e-7;
        panels.emplace_back(last ? 0 : end / 3.0, end);
        if (last) break;
    }
    const double smooth_from = std::max(kernels.rightmost_per_m() * scale, 1.0);
    Complex at = start;
    for (; at.real() < smooth_from; at += 2.0) panels.emplace_back(at, at + 2.0);
    constexpr std::size_t half_waves = 90;
    for (std::size_t i = 0; i < half_waves; ++i, at += pi) panels.emplace_back(at, at + pi);

    constexpr std::size_t order = 24;
    static_assert(order % lane_count == 0);
    const GaussLegendre rule = gauss_legendre(order);
    OwnContour contour;
    for (const auto& [from, to] : panels)
        for (std::size_t i = 0; i < order; ++i)
            contour.add(0.5 * (from + to) + rule.nodes[i] * 0.5 * (to - from),
                        rule.weights[i] * 0.5 * (to - from), place.offset_m / scale);
    const TermArrays& terms = evaluate(kernels, place, contour.zeta, scale, Forms::both, workspace);

    const std::size_t first_half_wave = panels.size() - half_waves;
    TermSums whole, reflected;
    std::array<std::vector<Complex>, term_count> whole_partial, reflected_partial;
    for (std::size_t p = 0; p < panels.size(); ++p) {
        const TermSums w = sum_terms(terms.whole, contour.weights, p * order, (p + 1) * order);
        const TermSums r = sum_terms(terms.reflected, contour.weights, p * order, (p + 1) * order);
        for (std::size_t t = 0; t < term_count; ++t) {
            whole.value[t] += w.value[t];
            whole.magnitude[t] += w.magnitude[t];
            reflected.value[t] += r.value[t];
            reflected.magnitude[t] += r.magnitude[t];
            if (p + 1 < first_half_wave) continue;
            whole_partial[t].push_back(whole.value[t]);
            reflected_partial[t].push_back(reflected.value[t]);
        }
    }
    if (oscillates)
        for (std::size_t t = 0; t < term_count; ++t) {
            whole.value[t] = epsilon_limit(whole_partial[t]);
            reflected.value[t] = epsilon_limit(reflected_partial[t]);
        }
    return better_form(scaled(whole, 1 / scale), scaled(reflected, 1 / scale), place, kernels.k0_per_m(),
                       oscillates);
}

}  // namespace ampturn::model::integrals
