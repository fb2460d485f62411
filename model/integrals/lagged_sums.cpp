#include "model/integrals/lagged_sums.hpp"

#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::integrals {

namespace {

struct Split {
    const double *re, *im;
};
struct Target {
    double *re, *im;
};

template <std::size_t width>
AMPTURN_LANE void put(const Target& to, std::size_t i, lane::C<width> value) {
    lane::store(to.re + i, value.re);
    lane::store(to.im + i, value.im);
}

/// P = 2 u0/(u0+U) e^{-u0 h}, Q = -2 U/(u0+U) e^{-u0 h}; u0 = lambda. Of a column the mean over h.
template <std::size_t width, bool column>
AMPTURN_LANE void kernels(const double* lambda, Split surface, Split transmission, double height_m,
                          double half_m, const Target* out, std::size_t n) {
    const double bottom_m = column ? height_m - half_m : height_m;
    for (std::size_t i = 0; i < n; i += width) {
        const auto l = lane::load<width>(lambda + i);
        const lane::C<width> u{lane::load<width>(surface.re + i), lane::load<width>(surface.im + i)};
        const lane::C<width> t{lane::load<width>(transmission.re + i),
                               lane::load<width>(transmission.im + i)};
        const auto none = lane::all<width>(0.0);
        auto e = lane::exp_minus(lane::C<width>{bottom_m * l, none}).re;
        if constexpr (column) e *= lane::mean_exp_minus(lane::C<width>{(2 * half_m) * l, none}).re;
        const auto te = e * t;
        const auto p = l * te, q = (-l) * (u * te);
        put(out[0], i, l * p);
        put(out[1], i, l * q);
        put(out[2], i, p);
        put(out[3], i, q);
        put(out[4], i, (l * l) * p);
    }
}
AMPTURN_DISPATCH(fill_of_point,
                 (const double* lambda, Split surface, Split transmission, double height_m, double half_m,
                  const Target* out, std::size_t n),
                 kernels<width, false>(lambda, surface, transmission, height_m, half_m, out, n))
AMPTURN_DISPATCH(fill_of_column,
                 (const double* lambda, Split surface, Split transmission, double height_m, double half_m,
                  const Target* out, std::size_t n),
                 kernels<width, true>(lambda, surface, transmission, height_m, half_m, out, n))

template <std::size_t width>
AMPTURN_LANE double total(const lane::V<width>* parts) {
    double x[lane_count];
    for (std::size_t k = 0; k < lane_count / width; ++k) lane::store(x + k * width, parts[k]);
    return sum_of_lanes(x);
}

/// Sums of `terms` kernels times one set of weights, eight running sums each.
template <std::size_t width, std::size_t terms>
AMPTURN_LANE void weigh(const Split* kernel, const double* weights, std::size_t count, double* sums) {
    constexpr std::size_t parts = lane_count / width;
    lane::V<width> re[terms][parts], im[terms][parts];
    for (std::size_t t = 0; t < terms; ++t)
        for (std::size_t k = 0; k < parts; ++k) re[t][k] = im[t][k] = lane::all<width>(0.0);
    for (std::size_t i = 0; i < count; i += lane_count)
        for (std::size_t k = 0; k < parts; ++k) {
            const auto w = lane::load<width>(weights + i + k * width);
            for (std::size_t t = 0; t < terms; ++t) {
                re[t][k] += w * lane::load<width>(kernel[t].re + i + k * width);
                im[t][k] += w * lane::load<width>(kernel[t].im + i + k * width);
            }
        }
    for (std::size_t t = 0; t < terms; ++t) {
        sums[2 * t] = total<width>(re[t]);
        sums[2 * t + 1] = total<width>(im[t]);
    }
}

template <std::size_t width>
AMPTURN_LANE void weigh_all(const Split* kernel, const FilterWeights& weights, double* sums) {
    weigh<width, lagged_j0_count>(kernel, weights.j0, weights.count, sums);
    weigh<width, lagged_count - lagged_j0_count>(kernel + lagged_j0_count, weights.j1, weights.count,
                                                 sums + 2 * lagged_j0_count);
}
AMPTURN_DISPATCH(weigh_kernels, (const Split* kernel, const FilterWeights& weights, double* sums),
                 weigh_all<width>(kernel, weights, sums))

}  // namespace

void make_lagged_kernels(const ComplexArray& lambda, const SurfaceResponse& response, double source_height_m,
                         double source_half_height_m, LaggedKernels& out) {
    const std::size_t n = lambda.size();
    Target targets[lagged_count];
    for (std::size_t k = 0; k < lagged_count; ++k) {
        out.terms[k].resize(n);
        targets[k] = {out.terms[k].re.data(), out.terms[k].im.data()};
    }
    const ComplexArray &u = response.te_surface, &t = response.te_transmission;
    const Split surface{u.re.data(), u.im.data()}, transmission{t.re.data(), t.im.data()};
    if (source_half_height_m > 0)
        fill_of_column(lambda.re.data(), surface, transmission, source_height_m, source_half_height_m,
                       targets, n);
    else
        fill_of_point(lambda.re.data(), surface, transmission, source_height_m, source_half_height_m, targets,
                      n);
}

void lagged_sums(const LaggedKernels& kernels, std::size_t begin, const FilterWeights& weights,
                 std::array<double, 2 * lagged_count>& sums) {
    Split split[lagged_count];
    for (std::size_t k = 0; k < lagged_count; ++k)
        split[k] = {kernels.terms[k].re.data() + begin, kernels.terms[k].im.data() + begin};
    weigh_kernels(split, weights, sums.data());
}

}  // namespace ampturn::model::integrals
