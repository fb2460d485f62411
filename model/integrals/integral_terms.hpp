#pragma once

#include <array>
#include <compare>
#include <complex>
#include <cstddef>
#include <cstdint>

#include "model/contours/node_arrays.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::integrals {

/// Horizontal distance and heights of a dipole and a receiver, both in air. A dipole may be spread evenly over an upright
/// stretch, as a column is: the integrals are then the mean over it. Only with the receiver on the ground, and where the
/// offset is more than the height of the column's top.
struct Placement {
    double offset_m;                  // > 0
    double source_height_m;           // >= 0; of a column's middle
    double receiver_height_m;         // >= 0, height of the receiver, -z
    double source_half_height_m = 0;  // of a column, <= source_height_m; 0: a point
    double source_top_m() const { return source_height_m + source_half_height_m; }
};

/// The ten Hankel integrals the fields are combined from, in the order J0 first, J1
/// after. Kernels in docs/physics.md.
enum Term : std::size_t { p0, s0, q0, kr0, hz0, ps1, qr1, pz1, f1, hr1, term_count };
inline constexpr std::size_t first_j1_term = ps1;

/// Kernels of the ten integrals over the nodes of a contour. Two forms: whole (direct and reflected wave
/// together) and reflected alone (the direct wave is then added in closed form).
struct TermArrays {
    std::array<ComplexArray, term_count> whole, reflected;
};

using contours::CarrierWeights;
using contours::power_count;

/// Values and sums of absolute values (|re| + |im|) of the ten integrals.
struct TermSums {
    std::array<std::complex<double>, term_count> value{};
    std::array<double, term_count> magnitude{};
};

enum class Forms { whole, both };

/// As of a Placement.
struct Heights {
    double source_m, receiver_m, source_half_m = 0;
    auto operator<=>(const Heights&) const = default;
};

/// Some nodes in a row. Whole vectors are read from the first on: after the last there must be up to lane_count - 1 more.
struct NodeRange {
    const SampledKernels& kernels;
    std::size_t begin, count;
};

/// Writes the nodes' terms from place `at` of the arrays on, whole vectors; what lies after the last is of no use.
void make_terms(const LayerKernels& kernels, const NodeRange& nodes, const Heights& heights, Forms forms,
                TermArrays& out, std::size_t at = 0);

/// A set of terms, one bit each.
using TermSet = std::uint32_t;
constexpr TermSet set_of(Term t) { return TermSet{1} << t; }
inline constexpr TermSet all_terms = (TermSet{1} << term_count) - 1;
inline constexpr TermSet horizontal_terms = all_terms & ~(set_of(hz0) | set_of(f1) | set_of(hr1));

/// Sums of term times carrier over the nodes [begin, end), a multiple of lane_count apart; always added up in
/// the same order, whatever the vector width. What is not wanted stays zero.
struct Wanted {
    TermSet terms = all_terms;
    bool magnitude = true;  // sums of absolute values
};
TermSums sum_terms(const std::array<ComplexArray, term_count>& terms, const CarrierWeights& weights,
                   std::size_t begin, std::size_t end, Wanted wanted = {});

/// The values of some terms whole and of some reflected, over the first `count` nodes: the same sums, sooner.
struct FormSums {
    std::array<std::complex<double>, term_count> whole{}, reflected{};
};
FormSums sum_forms(const TermArrays& terms, const CarrierWeights& weights, std::size_t count, TermSet whole,
                   TermSet reflected);

/// Sums of one term times the powers z^0, z^2 ... (or z^1, z^3 ...) of some nodes, as many as there are lanes.
struct PowerSums {
    std::array<double, power_count> re{}, im{};
};

/// Adds nodes [begin, end) of two terms; powers: [node][power_count].
void add_powers(const ComplexArray& a, const ComplexArray& b, const ComplexArray& powers, std::size_t begin,
                std::size_t end, PowerSums& sum_a, PowerSums& sum_b);

}  // namespace ampturn::model::integrals
