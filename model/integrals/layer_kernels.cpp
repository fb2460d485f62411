#include "model/integrals/layer_kernels.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::integrals {

namespace {

using lane::all;
using lane::C;
using Complex = std::complex<double>;

constexpr std::size_t block_size = 128;  // working arrays stay in the first-level cache

struct Block {
    std::array<double, block_size> re, im;
};

/// Working state of one block of wavenumbers while the recursion climbs from the last layer to the air.
struct State {
    std::size_t count;            // wavenumbers in use, a multiple of lane_count
    Block lambda2;                // lambda^2
    Block root, decay;            // of the layer: u, e^{-2 u t}
    Block te, te_excess, te_own;  // U; U - a of the layer; a = u/mu_r
    Block tm, tm_excess, tm_own;  // y0 Z; y0 Z - c of the layer; c = (y0/y) u
};

struct LayerStep {
    double thickness_m;
    Complex k2, anisotropy, inverse_y;
    double inverse_mu;
    // Difference to the layer below, squared: a_below^2 - a^2 = te_l2 lambda^2 + te_c, and so for TM.
    double te_l2;
    Complex te_c, tm_l2, tm_c;
};

template <std::size_t width>
AMPTURN_LANE void put(Block& block, std::size_t i, C<width> value) {
    lane::store(&block.re[i], value.re);
    lane::store(&block.im[i], value.im);
}
template <std::size_t width>
AMPTURN_LANE C<width> get(const Block& block, std::size_t i) {
    return {lane::load<width>(&block.re[i]), lane::load<width>(&block.im[i])};
}

/// Own admittance ratio of a layer and, for TM, own impedance: a = u/mu_r, c = (y0/y) u.
template <std::size_t width, bool with_tm>
AMPTURN_LANE void start(const LayerStep& layer, State& s) {
    const auto zero = all<width>(Complex(0));
    for (std::size_t i = 0; i < s.count; i += width) {
        const auto l2 = get<width>(s.lambda2, i);
        const auto a = layer.inverse_mu * lane::root(l2 - all<width>(layer.k2));
        put(s.te, i, a);
        put(s.te_own, i, a);
        put(s.te_excess, i, zero);
        if constexpr (with_tm) {
            const auto c = all<width>(layer.inverse_y) *
                           lane::root(all<width>(layer.anisotropy) * l2 - all<width>(layer.k2));
            put(s.tm, i, c);
            put(s.tm_own, i, c);
            put(s.tm_excess, i, zero);
        }
    }
}

AMPTURN_DISPATCH(start_te, (const LayerStep& layer, State& s), start<width, false>(layer, s))
AMPTURN_DISPATCH(start_both, (const LayerStep& layer, State& s), start<width, true>(layer, s))

/// From the top of the layer below to the top of this one, per mode, with e = e^{-2 u t}:
///     below - own = excess + (own_below^2 - own^2)/(own + own_below)
///     U <- own [U (1+e) + own (1-e)] / [own (1+e) + U (1-e)]
///     excess <- 2 own e (below - own) / [own (1+e) + U (1-e)]
template <std::size_t width>
AMPTURN_LANE void climb_mode(C<width> own, C<width> e, C<width> difference_squared, Block& u, Block& excess,
                             Block& own_below, std::size_t i) {
    const auto below = get<width>(u, i);
    const C<width> plus{1.0 + e.re, e.im}, minus{1.0 - e.re, -e.im};
    const auto inverse = lane::reciprocal(own * plus + below * minus);
    const auto above_own =
        get<width>(excess, i) + difference_squared * lane::reciprocal(own + get<width>(own_below, i));
    put(u, i, own * ((below * plus + own * minus) * inverse));
    put(excess, i, 2.0 * (own * (e * (above_own * inverse))));
    put(own_below, i, own);
}

/// Roots u, then exponentials e^{-2 u t}.
template <std::size_t width, bool isotropic>
AMPTURN_LANE void take_roots(const LayerStep& layer, State& s) {
    for (std::size_t i = 0; i < s.count; i += width) {
        auto l2 = get<width>(s.lambda2, i);
        if constexpr (!isotropic) l2 = all<width>(layer.anisotropy) * l2;
        put(s.root, i, lane::root(l2 - all<width>(layer.k2)));
    }
    for (std::size_t i = 0; i < s.count; i += width)
        put(s.decay, i, lane::exp_minus((2 * layer.thickness_m) * get<width>(s.root, i)));
}

/// One step after the other for all wavenumbers: of such short chains of operations the processor has several under way.
template <std::size_t width, bool isotropic, bool with_tm>
AMPTURN_LANE void climb(const LayerStep& layer, State& s) {
    take_roots<width, true>(layer, s);
    for (std::size_t i = 0; i < s.count; i += width)
        climb_mode(layer.inverse_mu * get<width>(s.root, i), get<width>(s.decay, i),
                   layer.te_l2 * get<width>(s.lambda2, i) + all<width>(layer.te_c), s.te, s.te_excess,
                   s.te_own, i);
    if constexpr (!with_tm) return;
    if constexpr (!isotropic) take_roots<width, false>(layer, s);
    for (std::size_t i = 0; i < s.count; i += width)
        climb_mode(all<width>(layer.inverse_y) * get<width>(s.root, i), get<width>(s.decay, i),
                   all<width>(layer.tm_l2) * get<width>(s.lambda2, i) + all<width>(layer.tm_c), s.tm,
                   s.tm_excess, s.tm_own, i);
}

AMPTURN_DISPATCH(climb_te, (const LayerStep& layer, State& s), climb<width, true, false>(layer, s))
AMPTURN_DISPATCH(climb_isotropic, (const LayerStep& layer, State& s), climb<width, true, true>(layer, s))
AMPTURN_DISPATCH(climb_anisotropic, (const LayerStep& layer, State& s), climb<width, false, true>(layer, s))

/// Air over the first layer: reflection and transmission.
struct Air {
    double k0_squared;
    double te_l2;
    Complex te_c, tm_l2, tm_c;
};

template <std::size_t width>
AMPTURN_LANE void put(ComplexArray& array, std::size_t i, C<width> value) {
    lane::store(&array.re[i], value.re);
    lane::store(&array.im[i], value.im);
}

/// Reflection and transmission of one mode into out[begin...].
template <std::size_t width>
AMPTURN_LANE void meet_mode(C<width> u0, C<width> difference_squared, C<width> u, C<width> excess,
                            C<width> own, std::size_t at, ComplexArray& surface, ComplexArray& reflection,
                            ComplexArray& transmission) {
    const auto above_u0 = excess + difference_squared * lane::reciprocal(u0 + own);
    const auto inverse = lane::reciprocal(u0 + u);
    put(surface, at, u);
    put(reflection, at, -1.0 * (above_u0 * inverse));
    put(transmission, at, 2.0 * inverse);
}

/// Quasi-static air: the TM mode sees y0 = 0, a perfect reflector.
template <std::size_t width, bool with_tm>
AMPTURN_LANE void meet(const Air& air, const State& s, std::size_t begin, SurfaceResponse& out) {
    for (std::size_t i = 0; i < s.count; i += width) {
        const std::size_t at = begin + i;
        const auto l2 = get<width>(s.lambda2, i);
        const auto u0 = lane::root(l2 - all<width>(Complex(air.k0_squared)));
        const auto inverse_u0 = lane::reciprocal(u0);
        put(out.u0, at, u0);
        put(out.inverse_u0, at, inverse_u0);
        meet_mode(u0, air.te_l2 * l2 + all<width>(air.te_c), get<width>(s.te, i), get<width>(s.te_excess, i),
                  get<width>(s.te_own, i), at, out.te_surface, out.te_reflection, out.te_transmission);
        if constexpr (with_tm) {
            meet_mode(u0, all<width>(air.tm_l2) * l2 + all<width>(air.tm_c), get<width>(s.tm, i),
                      get<width>(s.tm_excess, i), get<width>(s.tm_own, i), at, out.tm_surface,
                      out.tm_reflection, out.tm_transmission);
        } else {
            put(out.tm_surface, at, all<width>(Complex(0)));
            put(out.tm_reflection, at, all<width>(Complex(1)));
            put(out.tm_transmission, at, 2.0 * inverse_u0);
        }
    }
}

AMPTURN_DISPATCH(meet_air, (const Air& air, const State& s, std::size_t begin, SurfaceResponse& out),
                 meet<width, true>(air, s, begin, out))
AMPTURN_DISPATCH(meet_quasi_static_air,
                 (const Air& air, const State& s, std::size_t begin, SurfaceResponse& out),
                 meet<width, false>(air, s, begin, out))

}  // namespace

struct LayerKernels::Plan {
    std::vector<LayerStep> layers;
    std::vector<bool> isotropic;
    Air air;
};

LayerKernels::LayerKernels(const ground::LayeredEarth& earth, double frequency_hz,
                           ground::Wavenumbers wavenumbers)
    : plan_(std::make_unique<Plan>()) {
    check_range(frequency_hz, "frequency_hz", 1, 1e6);
    full_ = wavenumbers == ground::Wavenumbers::full;
    omega_ = 2 * pi * frequency_hz;
    k0_ = full_ ? omega_ * std::sqrt(mu0_h_per_m * eps0_f_per_m) : 0;
    rightmost_ = k0_;
    const Complex y0(0, full_ ? omega_ * eps0_f_per_m : 0);

    struct Medium {
        Complex k2, te_k2, tm_l2, tm_k2;  // k^2, k^2/mu^2, (y0/y)^2 nu, (y0/y)^2 k^2
        double inverse_mu2;
    };
    std::vector<Medium> media;
    for (std::size_t i = 0; i < earth.size(); ++i) {
        const ground::Layer& layer = earth[i];
        const ground::LayeredEarth::Admittivity y = earth.admittivity(i, omega_, full_);
        const double mu = layer.relative_permeability;
        const Complex minus_z0(0, -omega_ * mu0_h_per_m);
        const Complex k2 = minus_z0 * mu * y.horizontal_s_per_m;
        const Complex nu =
            layer.vertical_resistivity_ratio == 1 ? Complex(1) : y.horizontal_s_per_m / y.vertical_s_per_m;
        const Complex eta = y0 / y.horizontal_s_per_m;
        media.push_back({.k2 = k2,
                         .te_k2 = minus_z0 / mu * y.horizontal_s_per_m,
                         .tm_l2 = eta * eta * nu,
                         .tm_k2 = minus_z0 * mu * eta * y0,
                         .inverse_mu2 = 1 / (mu * mu)});
        plan_->layers.push_back({.thickness_m = layer.thickness_m,
                                 .k2 = (k2),
                                 .anisotropy = (nu),
                                 .inverse_y = (eta),
                                 .inverse_mu = 1 / mu,
                                 .te_l2 = 0,
                                 .te_c = {},
                                 .tm_l2 = {},
                                 .tm_c = {}});
        plan_->isotropic.push_back(layer.vertical_resistivity_ratio == 1);
        rightmost_ = std::sqrt(std::max({rightmost_ * rightmost_, k2.real(), (k2 / nu).real()}));
    }
    for (std::size_t i = 0; i + 1 < media.size(); ++i) {
        LayerStep& step = plan_->layers[i];
        step.te_l2 = media[i + 1].inverse_mu2 - media[i].inverse_mu2;
        step.te_c = (media[i].te_k2 - media[i + 1].te_k2);
        step.tm_l2 = (media[i + 1].tm_l2 - media[i].tm_l2);
        step.tm_c = (media[i].tm_k2 - media[i + 1].tm_k2);
    }
    plan_->air = {.k0_squared = k0_ * k0_,
                  .te_l2 = media[0].inverse_mu2 - 1,
                  .te_c = (k0_ * k0_ - media[0].te_k2),
                  .tm_l2 = (media[0].tm_l2 - 1.0),
                  .tm_c = (k0_ * k0_ - media[0].tm_k2)};
}

LayerKernels::~LayerKernels() = default;

void LayerKernels::evaluate(const ComplexArray& lambda, SurfaceResponse& out) const {
    const std::size_t n = lambda.size(), padded = (n + lane_count - 1) / lane_count * lane_count;
    const std::array arrays{
        &out.u0,         &out.inverse_u0,    &out.te_surface,     &out.te_reflection, &out.te_transmission,
        &out.tm_surface, &out.tm_reflection, &out.tm_transmission};
    for (ComplexArray* array : arrays) array->reserve_places(padded);
    State state;
    for (std::size_t begin = 0; begin < padded; begin += block_size) {
        state.count = std::min(block_size, padded - begin);
        for (std::size_t i = 0; i < state.count; ++i) {
            const std::size_t from = std::min(begin + i, n - 1);  // the last lanes may be padding
            const double re = lambda.re[from], im = lambda.im[from];
            state.lambda2.re[i] = re * re - im * im;
            state.lambda2.im[i] = 2 * re * im;
        }
        const LayerStep& last = plan_->layers.back();
        full_ ? start_both(last, state) : start_te(last, state);
        for (std::size_t i = plan_->layers.size() - 1; i-- > 0;) {
            if (!full_)
                climb_te(plan_->layers[i], state);
            else if (plan_->isotropic[i])
                climb_isotropic(plan_->layers[i], state);
            else
                climb_anisotropic(plan_->layers[i], state);
        }
        full_ ? meet_air(plan_->air, state, begin, out)
              : meet_quasi_static_air(plan_->air, state, begin, out);
    }
}

}  // namespace ampturn::model::integrals
