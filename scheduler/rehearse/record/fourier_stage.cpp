#include "scheduler/rehearse/record/fourier_stage.hpp"

#include <cstring>

#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"
#include "model/receiver/record_factors.hpp"

namespace ampturn::rehearse::record {
namespace {

namespace lane = model::lane;

/// A complex number, or several side by side.
template <class Real>
struct Z {
    Real re, im;
};
using Turn = Z<double>;
template <class Real>
AMPTURN_LANE Real at(const double* x) {
    Real out;
    std::memcpy(&out, x, sizeof out);
    return out;
}
template <class Real>
AMPTURN_LANE Z<Real> operator+(Z<Real> a, Z<Real> b) {
    return {a.re + b.re, a.im + b.im};
}
template <class Real>
AMPTURN_LANE Z<Real> operator-(Z<Real> a, Z<Real> b) {
    return {a.re - b.re, a.im - b.im};
}
template <class Real>
AMPTURN_LANE Z<Real> operator*(double a, Z<Real> b) {
    return {a * b.re, a * b.im};
}
template <class Angle, class Real>
AMPTURN_LANE Z<Real> turned(Z<Angle> a, Z<Real> b) {
    return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}
template <class Real>
AMPTURN_LANE Z<Real> by_minus_i(Z<Real> a) {
    return {a.im, -a.re};
}

/// The transform of so many numbers, in place; roots as of FourierStage.
template <class Real>
AMPTURN_LANE void small(Z<Real> (&a)[2], const Turn*) {
    const Z<Real> sum = a[0] + a[1];
    a[1] = a[0] - a[1];
    a[0] = sum;
}
template <class Real>
AMPTURN_LANE void small(Z<Real> (&a)[4], const Turn*) {
    const Z<Real> even = a[0] + a[2], odd = a[1] + a[3], less = a[0] - a[2], more = by_minus_i(a[1] - a[3]);
    a[0] = even + odd;
    a[1] = less + more;
    a[2] = even - odd;
    a[3] = less - more;
}
/// Odd lengths: the roots of k and radix - k are conjugates.
template <class Real, std::size_t radix>
AMPTURN_LANE void small(Z<Real> (&a)[radix], const Turn* root) {
    constexpr std::size_t half = radix / 2;
    Z<Real> sum[half], difference[half], all = a[0];
    for (std::size_t k = 1; k <= half; ++k) {
        sum[k - 1] = a[k] + a[radix - k];
        difference[k - 1] = by_minus_i(a[k] - a[radix - k]);
        all = all + sum[k - 1];
    }
    for (std::size_t j = 1; j <= half; ++j) {
        Z<Real> even = a[0] + root[j].re * sum[0], odd = -root[j].im * difference[0];
        for (std::size_t k = 2; k <= half; ++k) {
            even = even + root[j * k % radix].re * sum[k - 1];
            odd = odd - root[j * k % radix].im * difference[k - 1];
        }
        a[j] = even + odd;
        a[radix - j] = even - odd;
    }
    a[0] = all;
}

/// The numbers from x on, `apart` from each other, transformed, turned, to y on, `step` from each other.
template <class Real, std::size_t radix>
AMPTURN_LANE void one(const double* x_re, const double* x_im, std::size_t apart, double* y_re, double* y_im,
                      std::size_t step, const Turn* turn, const Turn* root) {
    Z<Real> a[radix];
    for (std::size_t k = 0; k < radix; ++k) a[k] = {at<Real>(x_re + k * apart), at<Real>(x_im + k * apart)};
    small(a, root);
    for (std::size_t j = 0; j < radix; ++j) {
        const Z<Real> b = j == 0 ? a[0] : turned(turn[j - 1], a[j]);
        std::memcpy(y_re + j * step, &b.re, sizeof b.re);
        std::memcpy(y_im + j * step, &b.im, sizeof b.im);
    }
}

/// A stage whose stretches are single numbers: as many p side by side as a vector holds.
template <std::size_t radix, std::size_t width>
AMPTURN_LANE std::size_t first_stage(const FourierStage& stage, const Turn* root,
                                     const double* __restrict x_re, const double* __restrict x_im,
                                     double* __restrict y_re, double* __restrict y_im) {
    using Real = lane::V<width>;
    const std::size_t parts = stage.parts;
    std::size_t p = 0;
    for (; p + width <= parts; p += width) {
        Z<Real> a[radix];
        for (std::size_t k = 0; k < radix; ++k)
            a[k] = {at<Real>(x_re + p + k * parts), at<Real>(x_im + p + k * parts)};
        small(a, root);
        for (std::size_t j = 1; j < radix; ++j) {
            const std::size_t turn = (j - 1) * parts + p;
            a[j] = turned(Z<Real>{at<Real>(&stage.turns_re[turn]), at<Real>(&stage.turns_im[turn])}, a[j]);
        }
        for (std::size_t i = 0; i < width; ++i)
            for (std::size_t j = 0; j < radix; ++j) {
                y_re[radix * (p + i) + j] = a[j].re[i];
                y_im[radix * (p + i) + j] = a[j].im[i];
            }
    }
    return p;
}

template <std::size_t radix, std::size_t width>
AMPTURN_LANE void stage_of(const FourierStage& stage, const double* __restrict x_re,
                           const double* __restrict x_im, double* __restrict y_re, double* __restrict y_im) {
    const std::size_t parts = stage.parts, stretch = stage.stretch;
    Turn root[radix], turn[radix];
    for (std::size_t k = 0; k < radix; ++k) root[k] = {stage.roots[k].real(), stage.roots[k].imag()};
    std::size_t p = stretch == 1 ? first_stage<radix, width>(stage, root, x_re, x_im, y_re, y_im) : 0;
    for (; p < parts; ++p) {
        for (std::size_t j = 0; j + 1 < radix; ++j)
            turn[j] = {stage.turns_re[j * parts + p], stage.turns_im[j * parts + p]};
        const std::size_t from = stretch * p, to = stretch * radix * p;
        std::size_t q = 0;
        for (; q + width <= stretch; q += width)
            one<lane::V<width>, radix>(x_re + from + q, x_im + from + q, stretch * parts, y_re + to + q,
                                       y_im + to + q, stretch, turn, root);
        for (; q < stretch; ++q)
            one<double, radix>(x_re + from + q, x_im + from + q, stretch * parts, y_re + to + q,
                               y_im + to + q, stretch, turn, root);
    }
}

#define AMPTURN_RADIX(radix)                                                                             \
    AMPTURN_DISPATCH(                                                                                    \
        radix_##radix,                                                                                   \
        (const FourierStage& stage, const double* x_re, const double* x_im, double* y_re, double* y_im), \
        (stage_of<radix, 4>(stage, x_re, x_im, y_re, y_im)))
AMPTURN_RADIX(2)
AMPTURN_RADIX(3)
AMPTURN_RADIX(4)
AMPTURN_RADIX(5)
AMPTURN_RADIX(7)
AMPTURN_RADIX(11)
AMPTURN_RADIX(13)

AMPTURN_DISPATCH(
    apart, (const double* __restrict z, std::size_t count, double* __restrict re, double* __restrict im), {
        for (std::size_t i = 0; i < count; ++i) {
            re[i] = z[2 * i];
            im[i] = z[2 * i + 1];
        }
    })
AMPTURN_DISPATCH(together,
                 (const double* __restrict re, const double* __restrict im, std::size_t count,
                  double* __restrict z),
                 {
                     for (std::size_t i = 0; i < count; ++i) {
                         z[2 * i] = re[i];
                         z[2 * i + 1] = im[i];
                     }
                 })

}  // namespace

void apply(const FourierStage& stage, const double* x_re, const double* x_im, double* y_re, double* y_im) {
    static_assert(model::receiver::record_factor_max == 13);
    using Radix = void (*)(const FourierStage&, const double*, const double*, double*, double*);
    constexpr Radix of[] = {nullptr, nullptr, radix_2, radix_3, radix_4,  radix_5, nullptr,
                            radix_7, nullptr, nullptr, nullptr, radix_11, nullptr, radix_13};
    of[stage.radix](stage, x_re, x_im, y_re, y_im);
}

void take_apart(const double* z, std::size_t count, double* re, double* im) { apart(z, count, re, im); }
void put_together(const double* re, const double* im, std::size_t count, double* z) {
    together(re, im, count, z);
}

}  // namespace ampturn::rehearse::record
