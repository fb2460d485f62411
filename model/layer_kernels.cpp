#include "model/layer_kernels.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "model/check_range.hpp"
#include "model/constants.hpp"
#include "model/dispatch.hpp"
#include "model/vector_math.hpp"

namespace ampturn::model {

namespace {

using lane::C;
using Complex = std::complex<double>;

constexpr std::size_t block_size = 128;  // working arrays stay in the first-level cache

struct Block {
    std::array<double, block_size> re, im;
};

/// Working state of one block of wavenumbers while the recursion climbs from the last layer to the air.
struct State {
    Block lambda2;                // lambda^2
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

AMPTURN_LANE void put(Block& block, std::size_t i, C value) {
    lane::store(&block.re[i], value.re);
    lane::store(&block.im[i], value.im);
}
AMPTURN_LANE C get(const Block& block, std::size_t i) {
    return {lane::load(&block.re[i]), lane::load(&block.im[i])};
}

AMPTURN_DISPATCH void start_below(const LayerStep& layer, State& s) {
    const C zero = lane::all(Complex(0));
    for (std::size_t i = 0; i < block_size; i += lane::width) {
        const C l2 = get(s.lambda2, i);
        const C a = layer.inverse_mu * lane::root(l2 - lane::all(layer.k2));
        const C c =
            lane::all(layer.inverse_y) * lane::root(lane::all(layer.anisotropy) * l2 - lane::all(layer.k2));
        put(s.te, i, a);
        put(s.te_own, i, a);
        put(s.te_excess, i, zero);
        put(s.tm, i, c);
        put(s.tm_own, i, c);
        put(s.tm_excess, i, zero);
    }
}

/// From the top of the layer below to the top of this one, per mode, with e = e^{-2 u t}:
///     below - own = excess + (own_below^2 - own^2)/(own + own_below)
///     U <- own [U (1+e) + own (1-e)] / [own (1+e) + U (1-e)]
///     excess <- 2 own e (below - own) / [own (1+e) + U (1-e)]
AMPTURN_LANE void climb_mode(C own, C e, C difference_squared, Block& u, Block& excess, Block& own_below,
                             std::size_t i) {
    const C below = get(u, i);
    const C above_own = get(excess, i) + difference_squared * lane::reciprocal(own + get(own_below, i));
    const C plus{1.0 + e.re, e.im}, minus{1.0 - e.re, -e.im};
    const C inverse = lane::reciprocal(own * plus + below * minus);
    put(u, i, own * ((below * plus + own * minus) * inverse));
    put(excess, i, 2.0 * (own * (e * (above_own * inverse))));
    put(own_below, i, own);
}

template <bool isotropic, bool with_tm>
AMPTURN_LANE void climb(const LayerStep& layer, State& s) {
    for (std::size_t i = 0; i < block_size; i += lane::width) {
        const C l2 = get(s.lambda2, i);
        const C u = lane::root(l2 - lane::all(layer.k2));
        const C e = lane::exp_minus((2 * layer.thickness_m) * u);
        climb_mode(layer.inverse_mu * u, e, layer.te_l2 * l2 + lane::all(layer.te_c), s.te, s.te_excess,
                   s.te_own, i);
        if constexpr (with_tm) {
            C u_tm = u, e_tm = e;
            if constexpr (!isotropic) {
                u_tm = lane::root(lane::all(layer.anisotropy) * l2 - lane::all(layer.k2));
                e_tm = lane::exp_minus((2 * layer.thickness_m) * u_tm);
            }
            climb_mode(lane::all(layer.inverse_y) * u_tm, e_tm,
                       lane::all(layer.tm_l2) * l2 + lane::all(layer.tm_c), s.tm, s.tm_excess, s.tm_own, i);
        }
    }
}

AMPTURN_DISPATCH void climb_te(const LayerStep& layer, State& s) { climb<true, false>(layer, s); }
AMPTURN_DISPATCH void climb_isotropic(const LayerStep& layer, State& s) { climb<true, true>(layer, s); }
AMPTURN_DISPATCH void climb_anisotropic(const LayerStep& layer, State& s) { climb<false, true>(layer, s); }

/// Air over the first layer: reflection and transmission.
struct Air {
    double k0_squared;
    double te_l2;
    Complex te_c, tm_l2, tm_c;
};

struct Surface {
    Block u0, inverse_u0, te_surface, te_reflection, te_transmission, tm_surface, tm_reflection,
        tm_transmission;
};

AMPTURN_DISPATCH void meet_air(const Air& air, const State& s, Surface& out) {
    for (std::size_t i = 0; i < block_size; i += lane::width) {
        const C l2 = get(s.lambda2, i);
        const C u0 = lane::root(l2 - lane::all(Complex(air.k0_squared)));
        put(out.u0, i, u0);
        put(out.inverse_u0, i, lane::reciprocal(u0));
        const C te_excess = get(s.te_excess, i) +
                            (air.te_l2 * l2 + lane::all(air.te_c)) * lane::reciprocal(u0 + get(s.te_own, i));
        const C te_inverse = lane::reciprocal(u0 + get(s.te, i));
        put(out.te_surface, i, get(s.te, i));
        put(out.te_reflection, i, -1.0 * (te_excess * te_inverse));
        put(out.te_transmission, i, 2.0 * te_inverse);
        const C tm_excess = get(s.tm_excess, i) + (lane::all(air.tm_l2) * l2 + lane::all(air.tm_c)) *
                                                      lane::reciprocal(u0 + get(s.tm_own, i));
        const C tm_inverse = lane::reciprocal(u0 + get(s.tm, i));
        put(out.tm_surface, i, get(s.tm, i));
        put(out.tm_reflection, i, -1.0 * (tm_excess * tm_inverse));
        put(out.tm_transmission, i, 2.0 * tm_inverse);
    }
}

/// Quasi-static air: the TM mode sees y0 = 0, a perfect reflector.
void without_tm(Surface& out) {
    for (std::size_t i = 0; i < block_size; i += lane::width) {
        put(out.tm_surface, i, lane::all(Complex(0)));
        put(out.tm_reflection, i, lane::all(Complex(1)));
        put(out.tm_transmission, i, 2.0 * get(out.inverse_u0, i));
    }
}

}  // namespace

struct LayerKernels::Plan {
    std::vector<LayerStep> layers;
    std::vector<bool> isotropic;
    Air air;
};

LayerKernels::LayerKernels(const LayeredEarth& earth, double frequency_hz, Wavenumbers wavenumbers)
    : plan_(std::make_unique<Plan>()) {
    check_range(frequency_hz, "frequency_hz", 1, 1e6);
    full_ = wavenumbers == Wavenumbers::full;
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
        const Layer& layer = earth[i];
        const LayeredEarth::Admittivity y = earth.admittivity(i, omega_, full_);
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
    const std::size_t n = lambda.size();
    for (ComplexArray* array :
         {&out.u0, &out.inverse_u0, &out.te_surface, &out.te_reflection, &out.te_transmission,
          &out.tm_surface, &out.tm_reflection, &out.tm_transmission})
        array->resize(n);
    State state;
    Surface surface;
    for (std::size_t begin = 0; begin < n; begin += block_size) {
        const std::size_t count = std::min(block_size, n - begin);
        for (std::size_t i = 0; i < block_size; ++i) {
            const std::size_t from = begin + std::min(i, count - 1);  // the last block is padded
            const double re = lambda.re[from], im = lambda.im[from];
            state.lambda2.re[i] = re * re - im * im;
            state.lambda2.im[i] = 2 * re * im;
        }
        start_below(plan_->layers.back(), state);
        for (std::size_t i = plan_->layers.size() - 1; i-- > 0;) {
            if (!full_)
                climb_te(plan_->layers[i], state);
            else if (plan_->isotropic[i])
                climb_isotropic(plan_->layers[i], state);
            else
                climb_anisotropic(plan_->layers[i], state);
        }
        meet_air(plan_->air, state, surface);
        if (!full_) without_tm(surface);
        auto copy = [&](const Block& from, ComplexArray& to) {
            std::copy_n(from.re.begin(), count, to.re.begin() + static_cast<std::ptrdiff_t>(begin));
            std::copy_n(from.im.begin(), count, to.im.begin() + static_cast<std::ptrdiff_t>(begin));
        };
        copy(surface.u0, out.u0);
        copy(surface.inverse_u0, out.inverse_u0);
        copy(surface.te_surface, out.te_surface);
        copy(surface.te_reflection, out.te_reflection);
        copy(surface.te_transmission, out.te_transmission);
        copy(surface.tm_surface, out.tm_surface);
        copy(surface.tm_reflection, out.tm_reflection);
        copy(surface.tm_transmission, out.tm_transmission);
    }
}

}  // namespace ampturn::model
