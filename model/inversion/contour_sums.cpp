#include "model/inversion/contour_sums.hpp"

#include <array>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/lane_count.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::inversion {
namespace {

using lane::all;
using lane::C;
using Complex = std::complex<double>;

/// What the recursion needs of a layer at one frequency.
struct LayerConstants {
    Complex squared;         // -k^2 = i omega mu y
    Complex half_d_squared;  // half of d(-k^2)/d ln rho
    Complex eta;             // y0/y
    Complex d_ln_y;          // dy/d ln rho over y
    double inverse_permeability, thickness_m;
};

/// Running sums of one set of integrals, lane by lane.
struct LaneSums {
    std::array<std::array<double, lane_count>, surface_integral_count> re{}, im{};
};

struct Job {
    std::vector<LayerConstants> layers;
    double k0_squared, source_height_m, per_offset;
    const ContourNodes* nodes;
    bool vertical;  // the integrals of a vertical dipole are wanted
    LaneSums value;
    std::vector<LaneSums> by_resistivity, by_thickness;
};

template <std::size_t width>
AMPTURN_LANE C<width> from(const std::vector<double>& re, const std::vector<double>& im, std::size_t i) {
    return {lane::load<width>(&re[i]), lane::load<width>(&im[i])};
}

template <std::size_t width>
AMPTURN_LANE void add(LaneSums& sums, std::size_t integral, std::size_t lane_at, C<width> x) {
    double* re = sums.re[integral].data() + lane_at;
    double* im = sums.im[integral].data() + lane_at;
    lane::store(re, lane::load<width>(re) + x.re);
    lane::store(im, lane::load<width>(im) + x.im);
}

/// Derivatives of one mode's surface value by what happens in one layer.
template <std::size_t width>
struct Slope {
    C<width> by_below, by_resistivity, by_thickness;
};

/// One mode from the top of the layer below to the top of this one; c, dc: the layer's own value and its slope in ln rho,
/// ut = u times thickness, dut its slope.
template <std::size_t width>
AMPTURN_LANE C<width> climbed(C<width> below, C<width> c, C<width> e) {
    const C<width> plus{1.0 + e.re, e.im}, minus{1.0 - e.re, -e.im};
    return c * ((below * plus + c * minus) * lane::reciprocal(c * plus + below * minus));
}

template <std::size_t width>
AMPTURN_LANE C<width> climbed(C<width> below, C<width> c, C<width> dc, C<width> e, C<width> ut, C<width> dut,
                              Slope<width>& slope) {
    const C<width> plus{1.0 + e.re, e.im}, minus{1.0 - e.re, -e.im};
    const C<width> inverse = lane::reciprocal(c * plus + below * minus);
    const C<width> ratio = (below * plus + c * minus) * inverse;
    const C<width> q = 4.0 * (c * (e * (inverse * inverse)));
    slope.by_below = c * q;
    const C<width> by_phase = q * (c * c - below * below);
    slope.by_resistivity = (ratio - q * below) * dc + by_phase * dut;
    slope.by_thickness = by_phase * ut;
    return c * ratio;
}

/// What a mode's t or change of t is worth in the integrals: lambda J0 t - J1 t/r and J1 t/r.
template <std::size_t width>
struct Shares {
    C<width> even, across;
};
template <std::size_t width>
AMPTURN_LANE Shares<width> shares_of(C<width> t, C<width> lambda_j0, C<width> j1, double per_offset) {
    const C<width> across = per_offset * (t * j1);
    return {t * lambda_j0 - across, across};
}

/// What a change of a mode's surface value is worth in each integral; TM has none in those of a vertical dipole.
template <std::size_t width>
struct Weights {
    C<width> of[surface_integral_count];
};
template <std::size_t width, bool with_tm>
AMPTURN_LANE void add_weighted(LaneSums& sums, std::size_t at, const Weights<width>& te, C<width> by_te,
                               const Weights<width>& tm, C<width> by_tm, bool vertical) {
    for (std::size_t k = 0; k < 4; ++k) {
        if constexpr (with_tm)
            add(sums, k, at, te.of[k] * by_te + tm.of[k] * by_tm);
        else
            add(sums, k, at, te.of[k] * by_te);
    }
    if (vertical) {
        add(sums, 4, at, te.of[4] * by_te);
        add(sums, 5, at, te.of[5] * by_te);
    }
}

constexpr std::size_t layers_max = 64;

template <std::size_t width, bool with_tm, bool with_slopes, bool with_thicknesses>
AMPTURN_LANE void sum_up(Job& job) {
    const ContourNodes& nodes = *job.nodes;
    const std::size_t count = job.layers.size();
    Slope<width> te_slopes[with_slopes ? layers_max : 1];
    Slope<width> tm_slopes[with_slopes && with_tm ? layers_max : 1];
    for (std::size_t i = 0; i < nodes.size(); i += width) {
        const std::size_t at = i % lane_count;
        const C<width> lambda = from<width>(nodes.lambda_re, nodes.lambda_im, i);
        const C<width> lambda2 = lambda * lambda;
        C<width> te{}, tm{};
        for (std::size_t j = count; j-- > 0;) {
            const LayerConstants& layer = job.layers[j];
            const C<width> u = lane::root(lambda2 + all<width>(layer.squared));
            const C<width> a = layer.inverse_permeability * u, c = all<width>(layer.eta) * u;
            const bool lowest = j + 1 == count;
            const C<width> e = lowest ? C<width>{} : lane::exp_minus((2 * layer.thickness_m) * u);
            if constexpr (with_slopes) {
                const C<width> du = all<width>(layer.half_d_squared) * lane::reciprocal(u);
                const C<width> da = layer.inverse_permeability * du;
                const C<width> dc = all<width>(layer.eta) * du - all<width>(layer.d_ln_y) * c;
                if (lowest) {
                    te_slopes[j] = {C<width>{}, da, C<width>{}};
                    if constexpr (with_tm) tm_slopes[j] = {C<width>{}, dc, C<width>{}};
                    te = a;
                    tm = c;
                    continue;
                }
                const C<width> ut = layer.thickness_m * u, dut = layer.thickness_m * du;
                te = climbed(te, a, da, e, ut, dut, te_slopes[j]);
                if constexpr (with_tm) tm = climbed(tm, c, dc, e, ut, dut, tm_slopes[j]);
            } else {
                te = lowest ? a : climbed(te, a, e);
                if constexpr (with_tm) tm = lowest ? c : climbed(tm, c, e);
            }
        }
        const C<width> u0 = lane::root(lambda2 - all<width>(Complex(job.k0_squared)));
        const C<width> direct = lane::exp_minus(job.source_height_m * u0);
        const C<width> j0 = direct * from<width>(nodes.j0_re, nodes.j0_im, i);
        const C<width> j1 = direct * from<width>(nodes.j1_re, nodes.j1_im, i);
        const C<width> lambda_j0 = lambda * j0, lambda2_j1 = lambda2 * j1;
        const C<width> te_t = 2.0 * lane::reciprocal(u0 + te), tm_t = 2.0 * lane::reciprocal(u0 + tm);
        const auto te_of = shares_of(te_t, lambda_j0, j1, job.per_offset);
        const auto tm_of = shares_of(tm_t, lambda_j0, j1, job.per_offset);
        const C<width> radial = u0 * te_of.even, across = u0 * te_of.across, vertical = te_t * lambda2_j1;
        add(job.value, 0, at, radial + tm * tm_of.across);
        add(job.value, 1, at, across + tm * tm_of.even);
        add(job.value, 2, at, job.k0_squared * tm_of.across - te * radial);
        add(job.value, 3, at, job.k0_squared * tm_of.even - te * across);
        if (job.vertical) {
            add(job.value, 4, at, vertical);
            add(job.value, 5, at, C<width>{} - te * vertical);
        }
        if constexpr (with_slopes) {
            const C<width> te_change = -0.5 * (te_t * te_t), tm_change = -0.5 * (tm_t * tm_t);
            const auto te_by = shares_of(te_change, lambda_j0, j1, job.per_offset);
            const auto tm_by = shares_of(tm_change, lambda_j0, j1, job.per_offset);
            const C<width> e_radial = u0 * te_by.even, e_across = u0 * te_by.across;
            const C<width> h_radial = u0 * e_radial, h_across = u0 * e_across;
            const C<width> v_e = te_change * lambda2_j1, v_hr = u0 * v_e;
            const C<width> tm_e_radial = u0 * tm_by.across, tm_e_across = u0 * tm_by.even;
            const C<width> tm_h_radial = job.k0_squared * tm_by.across;
            const C<width> tm_h_across = job.k0_squared * tm_by.even;
            const Weights<width> te_weights{{e_radial, e_across, h_radial, h_across, v_e, v_hr}};
            const Weights<width> tm_weights{
                {-1.0 * tm_e_radial, -1.0 * tm_e_across, tm_h_radial, tm_h_across}};
            C<width> te_chain = all<width>(Complex(1)), tm_chain = te_chain;
            for (std::size_t j = 0; j < count; ++j) {
                const Slope<width>& te_slope = te_slopes[j];
                const Slope<width>& tm_slope = tm_slopes[with_tm ? j : 0];
                add_weighted<width, with_tm>(job.by_resistivity[j], at, te_weights,
                                             te_chain * te_slope.by_resistivity, tm_weights,
                                             tm_chain * tm_slope.by_resistivity, job.vertical);
                if constexpr (with_thicknesses)
                    if (j + 1 < count)
                        add_weighted<width, with_tm>(job.by_thickness[j], at, te_weights,
                                                     te_chain * te_slope.by_thickness, tm_weights,
                                                     tm_chain * tm_slope.by_thickness, job.vertical);
                te_chain = te_chain * te_slope.by_below;
                if constexpr (with_tm) tm_chain = tm_chain * tm_slope.by_below;
            }
        }
    }
}

AMPTURN_DISPATCH(value_te, (Job & job), sum_up<width, false, false, false>(job))
AMPTURN_DISPATCH(value_both, (Job & job), sum_up<width, true, false, false>(job))
AMPTURN_DISPATCH(resistivities_te, (Job & job), sum_up<width, false, true, false>(job))
AMPTURN_DISPATCH(resistivities_both, (Job & job), sum_up<width, true, true, false>(job))
AMPTURN_DISPATCH(thicknesses_te, (Job & job), sum_up<width, false, true, true>(job))
AMPTURN_DISPATCH(thicknesses_both, (Job & job), sum_up<width, true, true, true>(job))

SurfaceIntegrals totals(const LaneSums& sums) {
    std::array<Complex, surface_integral_count> total;
    for (std::size_t k = 0; k < total.size(); ++k)
        total[k] = {sum_of_lanes(sums.re[k].data()), sum_of_lanes(sums.im[k].data())};
    return {total[0], total[1], total[2], total[3], total[4], total[5]};
}

}  // namespace

SurfaceSums surface_sums(const SurfaceJob& of, const ContourNodes& nodes, Slopes slopes) {
    const ground::LayeredEarth& earth = of.earth;
    check_range(of.frequency_hz, "frequency_hz", 1, 1e6);
    check_range(static_cast<double>(earth.size()), "layers", 1, static_cast<double>(layers_max));
    const bool full = of.wavenumbers == ground::Wavenumbers::full;
    const double omega = 2 * pi * of.frequency_hz;
    const Complex y0(0, full ? omega * eps0_f_per_m : 0);
    Job job{.layers = {},
            .k0_squared = full ? omega * omega * mu0_h_per_m * eps0_f_per_m : 0,
            .source_height_m = of.source_height_m,
            .per_offset = 1 / of.offset_m,
            .nodes = &nodes,
            .vertical = of.vertical_moment,
            .value = {},
            .by_resistivity = std::vector<LaneSums>(slopes == Slopes::none ? 0 : earth.size()),
            .by_thickness = std::vector<LaneSums>(
                slopes == Slopes::resistivities_and_thicknesses ? earth.size() - 1 : 0)};
    for (std::size_t i = 0; i < earth.size(); ++i) {
        if (earth[i].vertical_resistivity_ratio != 1)
            throw RangeError("layer.vertical_resistivity_ratio", earth[i].vertical_resistivity_ratio,
                             {.lowest = 1, .highest = 1}, i, "only isotropic layers are differentiated");
        const Complex zh(0, omega * mu0_h_per_m * earth[i].relative_permeability);
        const Complex y = earth.admittivity(i, omega, full).horizontal_s_per_m;
        const Complex dy = -earth.admittivity(i, omega, false).horizontal_s_per_m;
        job.layers.push_back({.squared = zh * y,
                              .half_d_squared = 0.5 * zh * dy,
                              .eta = y0 / y,
                              .d_ln_y = dy / y,
                              .inverse_permeability = 1 / earth[i].relative_permeability,
                              .thickness_m = earth[i].thickness_m});
    }
    switch (slopes) {
        case Slopes::none:
            full ? value_both(job) : value_te(job);
            break;
        case Slopes::resistivities:
            full ? resistivities_both(job) : resistivities_te(job);
            break;
        case Slopes::resistivities_and_thicknesses:
            full ? thicknesses_both(job) : thicknesses_te(job);
            break;
    }
    SurfaceSums out{.value = totals(job.value), .by_ln_resistivity = {}, .by_ln_thickness = {}};
    for (const LaneSums& sums : job.by_resistivity) out.by_ln_resistivity.push_back(totals(sums));
    for (const LaneSums& sums : job.by_thickness) out.by_ln_thickness.push_back(totals(sums));
    return out;
}

}  // namespace ampturn::model::inversion
