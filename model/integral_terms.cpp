#include "model/integral_terms.hpp"

#include <algorithm>
#include <cmath>

#include "model/dispatch.hpp"
#include "model/vector_math.hpp"

namespace ampturn::model {

namespace {

using lane::C;

AMPTURN_LANE C get(const double* re, const double* im, std::size_t i) {
    return {lane::load(re + i), lane::load(im + i)};
}

/// e^{-x} - 1, Re x >= 0, without cancellation near 0.
AMPTURN_LANE C exp_minus_less_one(C x) {
    const C e = lane::exp_minus(x);
    C sum = lane::all(std::complex<double>(1));
    for (int k = 14; k > 1; --k) {
        sum = (-1.0 / k) * (x * sum);
        sum.re += 1.0;
    }
    const C series = -1.0 * (x * sum);
    const auto small = x.re * x.re + x.im * x.im < 0.09;
    return {small ? series.re : e.re - 1.0, small ? series.im : e.im};
}

struct Pointers {
    const double *l_re, *l_im, *u0_re, *u0_im, *v0_re, *v0_im;  // lambda, u0, 1/u0
    const double *te_s_re, *te_s_im, *te_r_re, *te_r_im, *te_t_re, *te_t_im;
    const double *tm_s_re, *tm_s_im, *tm_r_re, *tm_r_im, *tm_t_re, *tm_t_im;
    std::array<double*, term_count> out_re, out_im;
};

struct Heights {
    double path_m;     // of the reflected wave: both heights together
    double direct_m;   // of the direct wave: their difference
    double doubled_m;  // path - direct
    double k0_squared;
    bool above;  // receiver above the source
};

/// Kernels of a mode: the even wave (direct + reflected) over u0 and the odd one (reflected - direct).
struct Mode {
    C even_over_u0, odd;
};

AMPTURN_LANE void put(const Pointers& p, Term t, std::size_t i, C value) {
    lane::store(p.out_re[t] + i, value.re);
    lane::store(p.out_im[t] + i, value.im);
}

AMPTURN_LANE void store(const Pointers& p, std::size_t i, C l, C u0, Mode te, Mode tm, double k0_squared,
                        bool above) {
    const C te_even = u0 * te.even_over_u0, tm_even = u0 * tm.even_over_u0;
    const C wave_p = above ? te.odd : te_even;
    const C wave_s = above ? tm_even : tm.odd;
    const C wave_hr = above ? te_even : te.odd;
    const C l2 = l * l;
    const C q = te.odd * u0, kr = k0_squared * tm.even_over_u0, f = te.even_over_u0 * l2;
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

template <bool raised>
AMPTURN_LANE void whole_block(const Pointers& p, const Heights& h, std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; i += lane::width) {
        const C u0 = get(p.u0_re, p.u0_im, i);
        const C direct = lane::exp_minus(h.direct_m * u0);
        const C te_t = get(p.te_t_re, p.te_t_im, i), tm_t = get(p.tm_t_re, p.tm_t_im, i);
        const C te_s = get(p.te_s_re, p.te_s_im, i), tm_s = get(p.tm_s_re, p.tm_s_im, i);
        Mode te{te_t * direct, -1.0 * (te_s * te_t * direct)};
        Mode tm{tm_t * direct, -1.0 * (tm_s * tm_t * direct)};
        if constexpr (raised) {
            const C gap = direct * exp_minus_less_one(h.doubled_m * u0);
            const C te_gap = get(p.te_r_re, p.te_r_im, i) * gap, tm_gap = get(p.tm_r_re, p.tm_r_im, i) * gap;
            const C v0 = get(p.v0_re, p.v0_im, i);
            te.even_over_u0 = te.even_over_u0 + te_gap * v0;
            te.odd = te.odd + te_gap;
            tm.even_over_u0 = tm.even_over_u0 + tm_gap * v0;
            tm.odd = tm.odd + tm_gap;
        }
        store(p, i, get(p.l_re, p.l_im, i), u0, te, tm, h.k0_squared, raised && h.above);
    }
}

AMPTURN_DISPATCH void whole_level(const Pointers& p, const Heights& h, std::size_t begin, std::size_t end) {
    whole_block<false>(p, h, begin, end);
}
AMPTURN_DISPATCH void whole_raised(const Pointers& p, const Heights& h, std::size_t begin, std::size_t end) {
    whole_block<true>(p, h, begin, end);
}
AMPTURN_DISPATCH void reflected_only(const Pointers& p, const Heights& h, std::size_t begin,
                                     std::size_t end) {
    for (std::size_t i = begin; i < end; i += lane::width) {
        const C u0 = get(p.u0_re, p.u0_im, i), v0 = get(p.v0_re, p.v0_im, i);
        const C e = lane::exp_minus(h.path_m * u0);
        const C te = get(p.te_r_re, p.te_r_im, i) * e, tm = get(p.tm_r_re, p.tm_r_im, i) * e;
        store(p, i, get(p.l_re, p.l_im, i), u0, {te * v0, te}, {tm * v0, tm}, h.k0_squared, false);
    }
}

struct Accumulators {
    double re[lane_count], im[lane_count], size[lane_count];
};

template <bool with_size>
AMPTURN_LANE void multiply_add_lanes(const double* t_re, const double* t_im, const double* w_re,
                                     const double* w_im, std::size_t n, Accumulators& sum) {
    static_assert(lane_count == 2 * lane::width);
    C sum_a = lane::all(std::complex<double>(0)), sum_b = sum_a;
    lane::V size_a = lane::all(0.0), size_b = size_a;
    for (std::size_t i = 0; i < n; i += lane_count) {
        const C a = get(t_re, t_im, i) * get(w_re, w_im, i);
        const C b = get(t_re, t_im, i + lane::width) * get(w_re, w_im, i + lane::width);
        sum_a = sum_a + a;
        sum_b = sum_b + b;
        if constexpr (with_size) {
            size_a += lane::absolute(a.re) + lane::absolute(a.im);
            size_b += lane::absolute(b.re) + lane::absolute(b.im);
        }
    }
    lane::store(sum.re, sum_a.re);
    lane::store(sum.re + lane::width, sum_b.re);
    lane::store(sum.im, sum_a.im);
    lane::store(sum.im + lane::width, sum_b.im);
    lane::store(sum.size, size_a);
    lane::store(sum.size + lane::width, size_b);
}

AMPTURN_DISPATCH void multiply_add_sized(const double* t_re, const double* t_im, const double* w_re,
                                         const double* w_im, std::size_t n, Accumulators& sum) {
    multiply_add_lanes<true>(t_re, t_im, w_re, w_im, n, sum);
}
AMPTURN_DISPATCH void multiply_add(const double* t_re, const double* t_im, const double* w_re,
                                   const double* w_im, std::size_t n, Accumulators& sum) {
    multiply_add_lanes<false>(t_re, t_im, w_re, w_im, n, sum);
}

AMPTURN_DISPATCH void weigh(const double* k_re, const double* k_im, const double* weights, std::size_t count,
                            double* re, double* im) {
    lane::V sum_re = lane::all(0.0), sum_im = sum_re;
    std::size_t i = 0;
    for (; i + lane::width <= count; i += lane::width) {
        const lane::V w = lane::load(weights + i);
        sum_re += w * lane::load(k_re + i);
        sum_im += w * lane::load(k_im + i);
    }
    for (; i < count; ++i) {
        sum_re[0] += weights[i] * k_re[i];
        sum_im[0] += weights[i] * k_im[i];
    }
    *re = (sum_re[0] + sum_re[2]) + (sum_re[1] + sum_re[3]);
    *im = (sum_im[0] + sum_im[2]) + (sum_im[1] + sum_im[3]);
}

double total(const double (&x)[lane_count]) {
    return ((x[0] + x[4]) + (x[2] + x[6])) + ((x[1] + x[5]) + (x[3] + x[7]));
}

}  // namespace

void make_terms(const LayerKernels& kernels, const ComplexArray& lambda, const SurfaceResponse& r,
                double source_height_m, double receiver_height_m, Forms forms, TermArrays& out) {
    const std::size_t n = lambda.size();
    const Heights h{.path_m = source_height_m + receiver_height_m,
                    .direct_m = std::abs(source_height_m - receiver_height_m),
                    .doubled_m = 2 * std::min(source_height_m, receiver_height_m),
                    .k0_squared = kernels.k0_per_m() * kernels.k0_per_m(),
                    .above = receiver_height_m > source_height_m};
    Pointers p{.l_re = lambda.re.data(),
               .l_im = lambda.im.data(),
               .u0_re = r.u0.re.data(),
               .u0_im = r.u0.im.data(),
               .v0_re = r.inverse_u0.re.data(),
               .v0_im = r.inverse_u0.im.data(),
               .te_s_re = r.te_surface.re.data(),
               .te_s_im = r.te_surface.im.data(),
               .te_r_re = r.te_reflection.re.data(),
               .te_r_im = r.te_reflection.im.data(),
               .te_t_re = r.te_transmission.re.data(),
               .te_t_im = r.te_transmission.im.data(),
               .tm_s_re = r.tm_surface.re.data(),
               .tm_s_im = r.tm_surface.im.data(),
               .tm_r_re = r.tm_reflection.re.data(),
               .tm_r_im = r.tm_reflection.im.data(),
               .tm_t_re = r.tm_transmission.re.data(),
               .tm_t_im = r.tm_transmission.im.data(),
               .out_re = {},
               .out_im = {}};
    auto aim = [&](std::array<ComplexArray, term_count>& terms) {
        for (std::size_t t = 0; t < term_count; ++t) {
            terms[t].resize(n);
            p.out_re[t] = terms[t].re.data();
            p.out_im[t] = terms[t].im.data();
        }
    };
    aim(out.whole);
    // A receiver on the ground is never above the source, a raised one with the source on the ground is.
    if (h.doubled_m > 0 || h.above)
        whole_raised(p, h, 0, n);
    else
        whole_level(p, h, 0, n);
    if (forms == Forms::both) {
        aim(out.reflected);
        reflected_only(p, h, 0, n);
    }
}

TermSums sum_terms(const std::array<ComplexArray, term_count>& terms, const CarrierWeights& weights,
                   std::size_t begin, std::size_t end, Wanted wanted) {
    TermSums sums;
    for (std::size_t t = 0; t < term_count; ++t) {
        if (!wanted.vertical && (t == hz0 || t == f1 || t == hr1)) continue;
        const ComplexArray& w = t < first_j1_term ? weights.order_0 : weights.order_1;
        Accumulators sum;
        (wanted.magnitude ? multiply_add_sized : multiply_add)(
            terms[t].re.data() + begin, terms[t].im.data() + begin, w.re.data() + begin, w.im.data() + begin,
            end - begin, sum);
        sums.value[t] = {total(sum.re), total(sum.im)};
        sums.magnitude[t] = total(sum.size);
    }
    return sums;
}

std::complex<double> filter_sum(const double* kernel_re, const double* kernel_im, const double* weights,
                                std::size_t count) {
    double re = 0, im = 0;
    weigh(kernel_re, kernel_im, weights, count, &re, &im);
    return {re, im};
}

}  // namespace ampturn::model
