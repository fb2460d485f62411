#include "model/inversion/dipole_sensitivity.hpp"

#include <array>
#include <cmath>
#include <string>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/contours/contour.hpp"
#include "model/contours/hankel.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::inversion {
namespace {

using Complex = std::complex<double>;

/// Plain complex product: std::complex's own checks for infinities, which cost more than the product.
Complex times(Complex a, Complex b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// What the recursion needs of a layer at one frequency.
struct LayerConstants {
    Complex squared;      // -k^2 = i omega mu y
    Complex d_squared;    // d(-k^2)/d ln rho
    Complex admittivity;  // y
    Complex d_admittivity;
    double permeability, thickness_m;
};

std::vector<LayerConstants> constants_of(const ground::LayeredEarth& earth, double omega, bool full) {
    std::vector<LayerConstants> layers;
    for (std::size_t i = 0; i < earth.size(); ++i) {
        if (earth[i].vertical_resistivity_ratio != 1)
            throw RangeError("layer.vertical_resistivity_ratio", earth[i].vertical_resistivity_ratio,
                             {.lowest = 1, .highest = 1}, i, "only isotropic layers are differentiated");
        const Complex zh(0, omega * mu0_h_per_m * earth[i].relative_permeability);
        const Complex y = earth.admittivity(i, omega, full).horizontal_s_per_m;
        const Complex dy = -earth.admittivity(i, omega, false).horizontal_s_per_m;
        layers.push_back({zh * y, zh * dy, y, dy, earth[i].relative_permeability, earth[i].thickness_m});
    }
    return layers;
}

/// A recursion X_j = c (X_{j+1} + c T)/(c + X_{j+1} T) with the derivatives of its end, X on top of layer 1.
class Recursion {
  public:
    explicit Recursion(std::size_t layers)
        : by_below_(layers), by_resistivity(layers), by_thickness(layers) {}

    void start(Complex c, Complex dc) {
        value = c;
        by_resistivity.back() = dc;
    }
    /// u, du: vertical wavenumber of the layer and its slope in ln rho; e = exp(-2 u t).
    void climb(std::size_t j, Complex c, Complex dc, Complex u, Complex du, Complex e, double thickness_m) {
        const Complex inverse = 1.0 / (1.0 + e);
        const Complex t = times(1.0 - e, inverse), slope = 4.0 * times(e, times(inverse, inverse));
        const Complex ct = times(c, t), xt = times(value, t);
        const Complex upper = value + ct, over_lower = 1.0 / (c + xt);
        const Complex ratio = times(upper, over_lower);
        const Complex c_over = times(c, over_lower);
        const Complex by_t = times(c_over, times(times(c, c) - times(value, value), over_lower));
        const Complex by_c = ratio + times(c_over, t - ratio);
        by_below_[j] = times(times(c_over, c_over), slope);
        const Complex by_phase = times(by_t, slope) * thickness_m;
        by_resistivity[j] = times(by_c, dc) + times(by_phase, du);
        by_thickness[j] = times(by_phase, u);
        value = times(c, ratio);
    }
    void chain() {
        Complex product = 1;
        for (std::size_t j = 0; j < by_resistivity.size(); ++j) {
            by_resistivity[j] = times(by_resistivity[j], product);
            by_thickness[j] = times(by_thickness[j], product);
            product = times(product, by_below_[j]);
        }
    }

    Complex value;

  private:
    std::vector<Complex> by_below_;

  public:
    std::vector<Complex> by_resistivity, by_thickness;  // the last thickness stays 0
};

/// The sums that make the integrals: eight of the TE mode, four of the TM mode.
enum TeTerm : std::size_t { te_p0, te_q0, te_p1, te_q1, te_z1, te_f1, te_hr1, te_hz0, te_count };
enum TmTerm : std::size_t { tm_s0, tm_k0, tm_s1, tm_k1, tm_count };
struct Sums {
    std::array<Complex, te_count> te{};
    std::array<Complex, tm_count> tm{};
};

integrals::DipoleIntegrals combine(const Sums& s, double r) {
    return {.e_radial = s.te[te_p0] - (s.te[te_p1] + s.tm[tm_s1]) / r,
            .e_across = -s.tm[tm_s0] + (s.te[te_p1] + s.tm[tm_s1]) / r,
            .h_radial = s.te[te_q0] - (s.te[te_q1] - s.tm[tm_k1]) / r,
            .h_across = s.tm[tm_k0] + (s.te[te_q1] - s.tm[tm_k1]) / r,
            .hz = s.te[te_z1],
            .v_e = s.te[te_f1],
            .v_hr = s.te[te_hr1],
            .v_hz = s.te[te_hz0]};
}

contours::Orders01 carrier_of(const contours::ContourNode& node, double scaling) {
    if (node.carrier == contours::Carrier::j) return contours::bessel_j01(node.zeta * scaling);
    const contours::Orders01 h = node.carrier == contours::Carrier::half_h1
                                     ? contours::hankel1_01(node.zeta * scaling)
                                     : contours::hankel2_01(node.zeta * scaling);
    return {0.5 * h.order_0, 0.5 * h.order_1};
}

}  // namespace

/// Nodes of the contour with all that does not depend on the ground.
struct DipoleContour::Nodes {
    integrals::ComplexArray lambda;
    std::vector<Complex> j0, j1;  // carriers times weight
};

DipoleContour::DipoleContour(const integrals::Placement& place) : place_(place) {
    check_range(place.receiver_height_m, "receiver_height_m", 0, 0);
}
DipoleContour::~DipoleContour() = default;
DipoleContour::DipoleContour(DipoleContour&&) noexcept = default;

const DipoleContour::Nodes& DipoleContour::nodes_for(double rightmost_per_m) {
    // Half the order and the reach of the engine's contour: 1e-7 instead of 1e-12.
    contours::ContourShape shape = contours::main_shape();
    shape.order = 8;
    shape.low_end = 1e-4;
    shape.decay = 18;
    shape.level_panel = 3;
    const bool split = place_.offset_m > place_.source_height_m;
    const double scale = split ? place_.offset_m : place_.source_height_m;
    const int panels = contours::level_panels(shape, rightmost_per_m * scale);
    std::unique_ptr<Nodes>& kept = nodes_[panels];
    if (kept) return *kept;
    kept = std::make_unique<Nodes>();
    const std::vector<contours::ContourNode> contour = contours::make_contour(shape, panels, split, 1);
    kept->lambda.resize(contour.size());
    for (std::size_t i = 0; i < contour.size(); ++i) {
        kept->lambda.re[i] = contour[i].zeta.real() / scale;
        kept->lambda.im[i] = contour[i].zeta.imag() / scale;
        const contours::Orders01 carrier = carrier_of(contour[i], place_.offset_m / scale);
        kept->j0.push_back(carrier.order_0 * contour[i].weight / scale);
        kept->j1.push_back(carrier.order_1 * contour[i].weight / scale);
    }
    return *kept;
}

integrals::DipoleIntegrals DipoleContour::value(const ground::LayeredEarth& earth, double frequency_hz,
                                                ground::Wavenumbers wavenumbers) {
    const integrals::LayerKernels kernels(earth, frequency_hz, wavenumbers);
    const double k0_squared = kernels.k0_per_m() * kernels.k0_per_m();
    const Nodes& nodes = nodes_for(kernels.rightmost_per_m());
    integrals::SurfaceResponse response;
    kernels.evaluate(nodes.lambda, response);
    Sums sums;
    for (std::size_t i = 0; i < nodes.lambda.size(); ++i) {
        const Complex lambda = nodes.lambda[i], lambda2 = times(lambda, lambda), u0 = response.u0[i];
        const Complex direct = std::exp(-u0 * place_.source_height_m);
        const Complex j0 = times(direct, nodes.j0[i]), j1 = times(direct, nodes.j1[i]);
        const Complex even = response.te_transmission[i];  // over u0
        const Complex odd = -times(response.te_surface[i], even);
        const Complex tm_even = response.tm_transmission[i];
        const Complex tm_odd = -times(response.tm_surface[i], tm_even);
        const Complex lambda_j0 = times(lambda, j0), lambda2_j1 = times(lambda2, j1);
        const Complex p = times(u0, even), q = times(u0, odd);
        sums.te[te_p0] += times(p, lambda_j0);
        sums.te[te_q0] += times(q, lambda_j0);
        sums.te[te_p1] += times(p, j1);
        sums.te[te_q1] += times(q, j1);
        sums.te[te_z1] += times(p, lambda2_j1);
        sums.te[te_f1] += times(even, lambda2_j1);
        sums.te[te_hr1] += times(odd, lambda2_j1);
        sums.te[te_hz0] += times(even, times(lambda2, lambda_j0));
        sums.tm[tm_s0] += times(tm_odd, lambda_j0);
        sums.tm[tm_k0] += k0_squared * times(tm_even, lambda_j0);
        sums.tm[tm_s1] += times(tm_odd, j1);
        sums.tm[tm_k1] += k0_squared * times(tm_even, j1);
    }
    return combine(sums, place_.offset_m);
}

DipoleSensitivity DipoleContour::sensitivity(const ground::LayeredEarth& earth, double frequency_hz,
                                             ground::Wavenumbers wavenumbers) {
    const integrals::LayerKernels kernels(earth, frequency_hz, wavenumbers);
    const bool full = wavenumbers == ground::Wavenumbers::full;
    const double omega = kernels.omega_rad_per_s();
    const std::vector<LayerConstants> layers = constants_of(earth, omega, full);
    const std::size_t count = layers.size();
    const double k0_squared = kernels.k0_per_m() * kernels.k0_per_m();
    const Complex y0(0, full ? omega * eps0_f_per_m : 0);

    DipoleSensitivity result;
    result.value = value(earth, frequency_hz, wavenumbers);
    std::vector<Sums> resistivity(count), thickness(count);
    Recursion te(count), tm(count);
    const Nodes& nodes = nodes_for(kernels.rightmost_per_m());
    for (std::size_t i = 0; i < nodes.lambda.size(); ++i) {
        const Complex lambda = nodes.lambda[i], lambda2 = times(lambda, lambda);
        const Complex u0 = std::sqrt(lambda2 - k0_squared);
        for (std::size_t j = count; j-- > 0;) {
            const LayerConstants& layer = layers[j];
            const Complex u = std::sqrt(lambda2 + layer.squared), du = layer.d_squared / (2.0 * u);
            const Complex a = u / layer.permeability, da = du / layer.permeability;
            const Complex c = u / layer.admittivity,
                          dc = (du - times(c, layer.d_admittivity)) / layer.admittivity;
            if (j + 1 == count) {
                te.start(a, da);
                tm.start(c, dc);
                continue;
            }
            const Complex e = std::exp(-2.0 * layer.thickness_m * u);
            te.climb(j, a, da, u, du, e, layer.thickness_m);
            if (full) tm.climb(j, c, dc, u, du, e, layer.thickness_m);
        }
        te.chain();
        tm.chain();
        // A change dU moves t by -t^2/2 dU, u0 t by u0 times that and -U t by the same; TM alike.
        const Complex te_t = 2.0 / (u0 + te.value), tm_t = 2.0 / (u0 + y0 * tm.value);
        const Complex direct = std::exp(-u0 * place_.source_height_m);
        const Complex te_change = -0.5 * te_t * te_t * direct, tm_change = -0.5 * tm_t * tm_t * y0 * direct;
        const Complex te0 = te_change * nodes.j0[i] * lambda, te1 = te_change * nodes.j1[i];
        const Complex tm0 = tm_change * nodes.j0[i] * lambda, tm1 = tm_change * nodes.j1[i];
        const std::array<Complex, te_count> te_weight{u0 * te0,           u0 * u0 * te0,      u0 * te1,
                                                      u0 * u0 * te1,      u0 * lambda2 * te1, lambda2 * te1,
                                                      u0 * lambda2 * te1, lambda2 * te0};
        const std::array<Complex, tm_count> tm_weight{u0 * tm0, k0_squared * tm0, u0 * tm1, k0_squared * tm1};
        const auto add = [&](Sums& sums, Complex by_te, Complex by_tm) {
            for (std::size_t t = 0; t < te_count; ++t) sums.te[t] += times(te_weight[t], by_te);
            for (std::size_t t = 0; full && t < tm_count; ++t) sums.tm[t] += times(tm_weight[t], by_tm);
        };
        for (std::size_t j = 0; j < count; ++j) {
            add(resistivity[j], te.by_resistivity[j], tm.by_resistivity[j]);
            if (j + 1 < count) add(thickness[j], te.by_thickness[j], tm.by_thickness[j]);
        }
    }
    for (std::size_t j = 0; j < count; ++j) {
        result.by_ln_resistivity.push_back(combine(resistivity[j], place_.offset_m));
        if (j + 1 < count) result.by_ln_thickness.push_back(combine(thickness[j], place_.offset_m));
    }
    return result;
}

}  // namespace ampturn::model::inversion
