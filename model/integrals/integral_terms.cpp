#include "model/integrals/integral_terms.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::integrals {

namespace {

using lane::C;

template <std::size_t width>
AMPTURN_LANE C<width> get(const double* re, const double* im, std::size_t i) {
    return {lane::load<width>(re + i), lane::load<width>(im + i)};
}

/// e^{-x} - 1, Re x >= 0, without cancellation near 0.
template <std::size_t width>
AMPTURN_LANE C<width> exp_minus_less_one(C<width> x) {
    const C<width> e = lane::exp_minus(x);
    const C<width> series = -1.0 * (x * lane::mean_exp_minus_series(x));
    const auto small = x.re * x.re + x.im * x.im < 0.09;
    return {small ? series.re : e.re - 1.0, small ? series.im : e.im};
}

struct Pointers {
    const double *l_re, *l_im, *u0_re, *u0_im, *v0_re, *v0_im;  // lambda, u0, 1/u0
    const double *te_s_re, *te_s_im, *te_r_re, *te_r_im, *te_t_re, *te_t_im;
    const double *tm_s_re, *tm_s_im, *tm_r_re, *tm_r_im, *tm_t_re, *tm_t_im;
    std::array<double*, term_count> out_re, out_im;
};

struct Paths {
    double path_m;     // of the reflected wave: both heights together
    double direct_m;   // of the direct wave: their difference
    double doubled_m;  // path - direct
    double half_m;     // of the source, about its middle
    double k0_squared;
    bool above;  // receiver above the source
};

/// Kernels of a mode: the even wave (direct + reflected) over u0 and the odd one (reflected - direct).
template <std::size_t width>
struct Mode {
    C<width> even_over_u0, odd;
};

template <std::size_t width>
AMPTURN_LANE void put(const Pointers& p, Term t, std::size_t i, C<width> value) {
    lane::store(p.out_re[t] + i, value.re);
    lane::store(p.out_im[t] + i, value.im);
}

template <std::size_t width>
AMPTURN_LANE void store(const Pointers& p, std::size_t i, C<width> u0, Mode<width> te, Mode<width> tm,
                        double k0_squared, bool above) {
    const auto l = get<width>(p.l_re, p.l_im, i);
    const auto te_even = u0 * te.even_over_u0, tm_even = u0 * tm.even_over_u0;
    const auto wave_p = above ? te.odd : te_even;
    const auto wave_s = above ? tm_even : tm.odd;
    const auto wave_hr = above ? te_even : te.odd;
    const auto l2 = l * l;
    const auto q = te.odd * u0, kr = k0_squared * tm.even_over_u0, f = te.even_over_u0 * l2;
    put(p, p0, i, wave_p * l);
    put(p, s0, i, wave_s * l);
    put(p, q0, i, q * l);
    put(p, kr0, i, kr * l);
    put(p, hz0, i, f * l);
    put(p, ps1, i, wave_p + wave_s);
    put(p, qr1, i, q - kr);
    put(p, pz1, i, wave_p * l2);
    put(p, f1, i, f);
    put(p, hr1, i, wave_hr * l2);
}

/// e^{-u0 height} of a point, or its mean over a column.
template <std::size_t width, bool column>
AMPTURN_LANE C<width> falling(const Paths& h, C<width> u0) {
    if constexpr (column)
        return lane::exp_minus((h.direct_m - h.half_m) * u0) * lane::mean_exp_minus((2 * h.half_m) * u0);
    else
        return lane::exp_minus(h.direct_m * u0);
}

/// Of both waves where source or receiver lies on the ground; e^{-u0 height}.
template <std::size_t width>
AMPTURN_LANE Mode<width> whole_mode(C<width> transmission, C<width> surface, C<width> wave) {
    return {transmission * wave, -1.0 * (surface * transmission * wave)};
}

template <std::size_t width, bool raised, bool column>
AMPTURN_LANE void whole_block(const Pointers& p, const Paths& h, std::size_t n) {
    for (std::size_t i = 0; i < n; i += width) {
        const auto u0 = get<width>(p.u0_re, p.u0_im, i);
        const auto direct = falling<width, column>(h, u0);
        const auto te_t = get<width>(p.te_t_re, p.te_t_im, i), tm_t = get<width>(p.tm_t_re, p.tm_t_im, i);
        const auto te_s = get<width>(p.te_s_re, p.te_s_im, i), tm_s = get<width>(p.tm_s_re, p.tm_s_im, i);
        Mode<width> te = whole_mode(te_t, te_s, direct), tm = whole_mode(tm_t, tm_s, direct);
        if constexpr (raised) {
            const auto gap = direct * exp_minus_less_one(h.doubled_m * u0);
            const auto te_gap = get<width>(p.te_r_re, p.te_r_im, i) * gap;
            const auto tm_gap = get<width>(p.tm_r_re, p.tm_r_im, i) * gap;
            const auto v0 = get<width>(p.v0_re, p.v0_im, i);
            te.even_over_u0 = te.even_over_u0 + te_gap * v0;
            te.odd = te.odd + te_gap;
            tm.even_over_u0 = tm.even_over_u0 + tm_gap * v0;
            tm.odd = tm.odd + tm_gap;
        }
        store(p, i, u0, te, tm, h.k0_squared, raised && h.above);
    }
}

template <std::size_t width>
AMPTURN_LANE void reflected_block(const Pointers& p, const Paths& h, std::size_t n) {
    for (std::size_t i = 0; i < n; i += width) {
        const auto u0 = get<width>(p.u0_re, p.u0_im, i), v0 = get<width>(p.v0_re, p.v0_im, i);
        const auto e = lane::exp_minus(h.path_m * u0);
        const auto te = get<width>(p.te_r_re, p.te_r_im, i) * e, tm = get<width>(p.tm_r_re, p.tm_r_im, i) * e;
        store(p, i, u0, Mode<width>{te * v0, te}, Mode<width>{tm * v0, tm}, h.k0_squared, false);
    }
}

/// Both forms where source or receiver lies on the ground: the paths are as long as each other.
template <std::size_t width, bool column>
AMPTURN_LANE void both_block(const Pointers& whole, const Pointers& reflected, const Paths& h,
                             std::size_t n) {
    for (std::size_t i = 0; i < n; i += width) {
        const auto u0 = get<width>(whole.u0_re, whole.u0_im, i), v0 = get<width>(whole.v0_re, whole.v0_im, i);
        const auto e = falling<width, column>(h, u0);
        store(whole, i, u0,
              whole_mode(get<width>(whole.te_t_re, whole.te_t_im, i),
                         get<width>(whole.te_s_re, whole.te_s_im, i), e),
              whole_mode(get<width>(whole.tm_t_re, whole.tm_t_im, i),
                         get<width>(whole.tm_s_re, whole.tm_s_im, i), e),
              h.k0_squared, false);
        const auto te = get<width>(whole.te_r_re, whole.te_r_im, i) * e;
        const auto tm = get<width>(whole.tm_r_re, whole.tm_r_im, i) * e;
        store(reflected, i, u0, Mode<width>{te * v0, te}, Mode<width>{tm * v0, tm}, h.k0_squared, false);
    }
}

AMPTURN_DISPATCH(both_level,
                 (const Pointers& whole, const Pointers& reflected, const Paths& h, std::size_t n),
                 both_block<width, false>(whole, reflected, h, n))
AMPTURN_DISPATCH(both_column,
                 (const Pointers& whole, const Pointers& reflected, const Paths& h, std::size_t n),
                 both_block<width, true>(whole, reflected, h, n))
AMPTURN_DISPATCH(whole_level, (const Pointers& p, const Paths& h, std::size_t n),
                 whole_block<width, false, false>(p, h, n))
AMPTURN_DISPATCH(whole_column, (const Pointers& p, const Paths& h, std::size_t n),
                 whole_block<width, false, true>(p, h, n))
AMPTURN_DISPATCH(whole_raised, (const Pointers& p, const Paths& h, std::size_t n),
                 whole_block<width, true, false>(p, h, n))
AMPTURN_DISPATCH(reflected_only, (const Pointers& p, const Paths& h, std::size_t n),
                 reflected_block<width>(p, h, n))

/// Eight running sums, of the nodes 0, 8, 16 ..., 1, 9, 17 ... and so on, whatever the width.
struct Accumulators {
    double re[lane_count], im[lane_count], size[lane_count];
};

struct Split {
    const double *re, *im;
};

/// Sums of `terms` kernels times one carrier.
template <std::size_t width, std::size_t terms, bool with_size>
AMPTURN_LANE void multiply_add(const Split* t, Split w, std::size_t n, Accumulators* sum) {
    constexpr std::size_t parts = lane_count / width;
    C<width> sums[terms][parts];
    lane::V<width> sizes[terms][parts];
    for (std::size_t j = 0; j < terms; ++j)
        for (std::size_t k = 0; k < parts; ++k) {
            sums[j][k] = lane::all<width>(std::complex<double>(0));
            sizes[j][k] = lane::all<width>(0.0);
        }
    for (std::size_t i = 0; i < n; i += lane_count)
        for (std::size_t k = 0; k < parts; ++k) {
            const auto weight = get<width>(w.re, w.im, i + k * width);
            for (std::size_t j = 0; j < terms; ++j) {
                const auto a = get<width>(t[j].re, t[j].im, i + k * width) * weight;
                sums[j][k] = sums[j][k] + a;
                if constexpr (with_size)
                    sizes[j][k] += lane::absolute<width>(a.re) + lane::absolute<width>(a.im);
            }
        }
    for (std::size_t j = 0; j < terms; ++j)
        for (std::size_t k = 0; k < parts; ++k) {
            lane::store(sum[j].re + k * width, sums[j][k].re);
            lane::store(sum[j].im + k * width, sums[j][k].im);
            lane::store(sum[j].size + k * width, sizes[j][k]);
        }
}

/// Two terms times powers: a lane for each power.
template <std::size_t width>
AMPTURN_LANE void multiply_powers(Split a, Split b, Split powers, std::size_t begin, std::size_t end,
                                  PowerSums& sum_a, PowerSums& sum_b) {
    for (std::size_t part = 0; part < power_count; part += width) {
        auto x = get<width>(sum_a.re.data(), sum_a.im.data(), part);
        auto y = get<width>(sum_b.re.data(), sum_b.im.data(), part);
        for (std::size_t i = begin; i < end; ++i) {
            const auto p = get<width>(powers.re, powers.im, i * power_count + part);
            x.re += a.re[i] * p.re - a.im[i] * p.im;
            x.im += a.re[i] * p.im + a.im[i] * p.re;
            y.re += b.re[i] * p.re - b.im[i] * p.im;
            y.im += b.re[i] * p.im + b.im[i] * p.re;
        }
        lane::store(sum_a.re.data() + part, x.re);
        lane::store(sum_a.im.data() + part, x.im);
        lane::store(sum_b.re.data() + part, y.re);
        lane::store(sum_b.im.data() + part, y.im);
    }
}

AMPTURN_DISPATCH(sum_powers,
                 (Split a, Split b, Split powers, std::size_t begin, std::size_t end, PowerSums& sum_a,
                  PowerSums& sum_b),
                 multiply_powers<width>(a, b, powers, begin, end, sum_a, sum_b))

AMPTURN_DISPATCH(sum_with_size, (const Split* t, Split w, std::size_t n, Accumulators* sum),
                 multiply_add<width, 1, true>(t, w, n, sum))
AMPTURN_DISPATCH(sum_one, (const Split* t, Split w, std::size_t n, Accumulators* sum),
                 multiply_add<width, 1, false>(t, w, n, sum))
AMPTURN_DISPATCH(sum_two, (const Split* t, Split w, std::size_t n, Accumulators* sum),
                 multiply_add<width, 2, false>(t, w, n, sum))

}  // namespace

void make_terms(const LayerKernels& kernels, const NodeRange& nodes, const Heights& heights, Forms forms,
                TermArrays& out, std::size_t at) {
    const std::size_t n = (nodes.count + lane_count - 1) / lane_count * lane_count, from = nodes.begin;
    const SurfaceResponse& r = nodes.kernels.response;
    const Paths h{.path_m = heights.source_m + heights.receiver_m,
                  .direct_m = std::abs(heights.source_m - heights.receiver_m),
                  .doubled_m = 2 * std::min(heights.source_m, heights.receiver_m),
                  .half_m = heights.source_half_m,
                  .k0_squared = kernels.k0_per_m() * kernels.k0_per_m(),
                  .above = heights.receiver_m > heights.source_m};
    Pointers p{.l_re = nodes.kernels.lambda.re.data() + from,
               .l_im = nodes.kernels.lambda.im.data() + from,
               .u0_re = r.u0.re.data() + from,
               .u0_im = r.u0.im.data() + from,
               .v0_re = r.inverse_u0.re.data() + from,
               .v0_im = r.inverse_u0.im.data() + from,
               .te_s_re = r.te_surface.re.data() + from,
               .te_s_im = r.te_surface.im.data() + from,
               .te_r_re = r.te_reflection.re.data() + from,
               .te_r_im = r.te_reflection.im.data() + from,
               .te_t_re = r.te_transmission.re.data() + from,
               .te_t_im = r.te_transmission.im.data() + from,
               .tm_s_re = r.tm_surface.re.data() + from,
               .tm_s_im = r.tm_surface.im.data() + from,
               .tm_r_re = r.tm_reflection.re.data() + from,
               .tm_r_im = r.tm_reflection.im.data() + from,
               .tm_t_re = r.tm_transmission.re.data() + from,
               .tm_t_im = r.tm_transmission.im.data() + from,
               .out_re = {},
               .out_im = {}};
    auto aim = [&](std::array<ComplexArray, term_count>& terms) {
        for (std::size_t t = 0; t < term_count; ++t) {
            terms[t].reserve_places(at + n);
            p.out_re[t] = terms[t].re.data() + at;
            p.out_im[t] = terms[t].im.data() + at;
        }
        return p;
    };
    const Pointers whole = aim(out.whole);
    // A receiver on the ground is never above the source, a raised one with the source on the ground is.
    const bool raised = h.doubled_m > 0 || h.above, both = forms == Forms::both, column = h.half_m > 0;
    if (raised)
        whole_raised(whole, h, n);
    else if (!both)
        column ? whole_column(whole, h, n) : whole_level(whole, h, n);
    if (!both) return;
    const Pointers reflected = aim(out.reflected);
    if (raised)
        reflected_only(reflected, h, n);
    else
        column ? both_column(whole, reflected, h, n) : both_level(whole, reflected, h, n);
}

TermSums sum_terms(const std::array<ComplexArray, term_count>& terms, const CarrierWeights& weights,
                   std::size_t begin, std::size_t end, Wanted wanted) {
    TermSums sums;
    auto split = [&](const ComplexArray& a) { return Split{a.re.data() + begin, a.im.data() + begin}; };
    auto keep = [&](std::size_t t, const Accumulators& sum) {
        sums.value[t] = {sum_of_lanes(sum.re), sum_of_lanes(sum.im)};
        sums.magnitude[t] = sum_of_lanes(sum.size);
    };
    // Two terms of one carrier at a time share what they read of it.
    for (const bool order_1 : {false, true}) {
        const Split w = split(order_1 ? weights.order_1 : weights.order_0);
        std::array<std::size_t, term_count> list{};
        std::size_t count = 0;
        for (std::size_t t = order_1 ? first_j1_term : 0; t < (order_1 ? term_count : first_j1_term); ++t)
            if (wanted.terms >> t & 1) list[count++] = t;
        for (std::size_t i = 0; i < count;) {
            Accumulators sum[2];
            const bool two = !wanted.magnitude && i + 1 < count;
            const Split t[2] = {split(terms[list[i]]), split(terms[list[two ? i + 1 : i]])};
            if (wanted.magnitude)
                sum_with_size(t, w, end - begin, sum);
            else if (two)
                sum_two(t, w, end - begin, sum);
            else
                sum_one(t, w, end - begin, sum);
            keep(list[i++], sum[0]);
            if (two) keep(list[i++], sum[1]);
        }
    }
    return sums;
}

FormSums sum_forms(const TermArrays& terms, const CarrierWeights& weights, std::size_t count, TermSet whole,
                   TermSet reflected) {
    FormSums sums;
    for (const bool order_1 : {false, true}) {
        struct Wish {
            const ComplexArray* term;
            std::complex<double>* result;
        };
        std::array<Wish, 2 * term_count> list;
        std::size_t wishes = 0;
        for (std::size_t t = order_1 ? first_j1_term : 0; t < (order_1 ? term_count : first_j1_term); ++t) {
            if (whole >> t & 1) list[wishes++] = {&terms.whole[t], &sums.whole[t]};
            if (reflected >> t & 1) list[wishes++] = {&terms.reflected[t], &sums.reflected[t]};
        }
        const ComplexArray& weight = order_1 ? weights.order_1 : weights.order_0;
        const Split w{weight.re.data(), weight.im.data()};
        for (std::size_t i = 0; i < wishes; i += 2) {
            const bool two = i + 1 < wishes;
            const ComplexArray &first = *list[i].term, &second = *list[two ? i + 1 : i].term;
            const Split t[2] = {{first.re.data(), first.im.data()}, {second.re.data(), second.im.data()}};
            Accumulators sum[2];
            two ? sum_two(t, w, count, sum) : sum_one(t, w, count, sum);
            *list[i].result = {sum_of_lanes(sum[0].re), sum_of_lanes(sum[0].im)};
            if (two) *list[i + 1].result = {sum_of_lanes(sum[1].re), sum_of_lanes(sum[1].im)};
        }
    }
    return sums;
}

void add_powers(const ComplexArray& a, const ComplexArray& b, const ComplexArray& powers, std::size_t begin,
                std::size_t end, PowerSums& sum_a, PowerSums& sum_b) {
    sum_powers({a.re.data(), a.im.data()}, {b.re.data(), b.im.data()}, {powers.re.data(), powers.im.data()},
               begin, end, sum_a, sum_b);
}

}  // namespace ampturn::model::integrals
