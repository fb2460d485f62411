#include "model/dipole_integrals.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "model/constants.hpp"
#include "model/contour.hpp"
#include "model/gauss_legendre.hpp"
#include "model/hankel.hpp"

namespace ampturn::model {

namespace {

using Complex = std::complex<double>;

/// The ten integrals the eight functions are combined from; docs/physics.md gives each.
enum Term : std::size_t { p0, s0, q0, kr0, hz0, ps1, qr1, pz1, f1, hr1, term_count };
constexpr std::size_t first_j1_term = ps1;

struct Sums {
    std::array<Complex, term_count> value{};
    std::array<double, term_count> magnitude{};  // sums of absolute values
};

/// e^{-x} - 1, Re x >= 0.
Complex exp_minus_less_one(Complex x) {
    if (std::abs(x) > 0.3) return std::exp(-x) - 1.0;
    Complex sum = 0, term = 1;
    for (int k = 1; k < 16; ++k) {
        term *= -x / static_cast<double>(k);
        sum += term;
    }
    return sum;
}

/// Kernels of both modes at one wavenumber: the even wave (direct + reflected) over u0 and the odd one
/// (reflected - direct), each with its exponentials.
struct Modes {
    Complex te_even_over_u0, te_odd, tm_even_over_u0, tm_odd;
};

class Accumulator {
  public:
    Accumulator(const LayerKernels& kernels, const Placement& place)
        : k0_squared_(kernels.k0_per_m() * kernels.k0_per_m()),
          path_m_(place.source_height_m + place.receiver_height_m),
          direct_path_m_(std::abs(place.source_height_m - place.receiver_height_m)),
          doubled_m_(2 * std::min(place.source_height_m, place.receiver_height_m)),
          above_(place.receiver_height_m > place.source_height_m) {}

    /// Adds node i: carrier_0 and carrier_1 are J_n (or half a Hankel function) times the weight in lambda.
    void add(Complex lambda, const SurfaceResponse& s, std::size_t i, Complex carrier_0, Complex carrier_1) {
        const Complex u0 = s.u0[i];
        const Complex reflected_path = std::exp(-u0 * path_m_);
        const Complex te_r = s.te_reflection[i] * reflected_path, tm_r = s.tm_reflection[i] * reflected_path;
        const Complex over_u0 = s.inverse_u0[i];
        add(reflected, lambda, u0, {te_r * over_u0, te_r, tm_r * over_u0, tm_r}, carrier_0, carrier_1);

        const Complex direct = doubled_m_ == 0 ? reflected_path : std::exp(-u0 * direct_path_m_);
        Modes modes{s.te_transmission[i] * direct, -s.te_surface[i] * s.te_transmission[i] * direct,
                    s.tm_transmission[i] * direct, -s.tm_surface[i] * s.tm_transmission[i] * direct};
        if (doubled_m_ > 0) {
            const Complex gap = direct * exp_minus_less_one(u0 * doubled_m_);
            modes.te_even_over_u0 += s.te_reflection[i] * gap * over_u0;
            modes.te_odd += s.te_reflection[i] * gap;
            modes.tm_even_over_u0 += s.tm_reflection[i] * gap * over_u0;
            modes.tm_odd += s.tm_reflection[i] * gap;
        }
        add(whole, lambda, u0, modes, carrier_0, carrier_1);
    }

    const Sums& whole_sums() const { return whole; }
    const Sums& reflected_sums() const { return reflected; }

  private:
    void add(Sums& sums, Complex l, Complex u0, const Modes& m, Complex carrier_0, Complex carrier_1) const {
        const Complex te_even = u0 * m.te_even_over_u0, tm_even = u0 * m.tm_even_over_u0;
        const Complex p = above_ ? m.te_odd : te_even;
        const Complex s = above_ ? tm_even : m.tm_odd;
        const Complex hr = above_ ? te_even : m.te_odd;
        const Complex l2 = l * l;
        const std::array<Complex, term_count> term{p * l,
                                                   s * l,
                                                   m.te_odd * u0 * l,
                                                   k0_squared_ * m.tm_even_over_u0 * l,
                                                   m.te_even_over_u0 * l2 * l,
                                                   p + s,
                                                   m.te_odd * u0 - k0_squared_ * m.tm_even_over_u0,
                                                   p * l2,
                                                   m.te_even_over_u0 * l2,
                                                   hr * l2};
        for (std::size_t t = 0; t < term_count; ++t) {
            const Complex product = term[t] * (t < first_j1_term ? carrier_0 : carrier_1);
            sums.value[t] += product;
            sums.magnitude[t] += std::abs(product);
        }
    }

    double k0_squared_, path_m_, direct_path_m_, doubled_m_;
    bool above_;
    Sums whole, reflected;
};

template <class T>
DipoleIntegrals combine(const std::array<T, term_count>& t, double r, double minus) {
    return {.e_radial = t[p0] + minus * t[ps1] / r,
            .e_across = minus * t[s0] + t[ps1] / r,
            .h_radial = t[q0] + minus * t[qr1] / r,
            .h_across = t[kr0] + t[qr1] / r,
            .hz = t[pz1],
            .v_e = t[f1],
            .v_hr = t[hr1],
            .v_hz = t[hz0]};
}

constexpr std::array members{&DipoleIntegrals::e_radial, &DipoleIntegrals::e_across,
                             &DipoleIntegrals::h_radial, &DipoleIntegrals::h_across,
                             &DipoleIntegrals::hz,       &DipoleIntegrals::v_e,
                             &DipoleIntegrals::v_hr,     &DipoleIntegrals::v_hz};

/// Keeps, for each integral, the form whose sum cancelled less.
IntegralsWithRounding better_form(const Sums& whole, const Sums& reflected, const Placement& place,
                                  double k0_per_m, bool allow_whole) {
    const DipoleIntegrals a = combine(whole.value, place.offset_m, -1);
    const DipoleIntegrals a_size = combine(whole.magnitude, place.offset_m, 1);
    const DipoleIntegrals b = combine(reflected.value, place.offset_m, -1);
    const DipoleIntegrals b_size = combine(reflected.magnitude, place.offset_m, 1);
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

/// Limit of partial sums by Wynn's epsilon algorithm: of the even columns' last entries the pair that agrees
/// best.
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

Orders01 carrier_functions(Carrier carrier, Complex z) {
    switch (carrier) {
        case Carrier::j:
            return bessel_j01(z);
        case Carrier::half_h1: {
            const Orders01 h = hankel1_01(z);
            return {0.5 * h.order_0, 0.5 * h.order_1};
        }
        case Carrier::half_h2: {
            const Orders01 h = hankel2_01(z);
            return {0.5 * h.order_0, 0.5 * h.order_1};
        }
    }
    return {};
}

}  // namespace

DipoleIntegrals direct_integrals(const Placement& place, double k0_per_m) {
    const double r = place.offset_m;
    const double drop = place.source_height_m - place.receiver_height_m;  // receiver below source: > 0
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

IntegralsWithRounding contour_integrals(const LayerKernels& kernels, const Placement& place,
                                        ContourChoice choice) {
    const ContourShape shape = choice == ContourChoice::main ? main_shape() : check_shape();
    const double height = place.source_height_m + place.receiver_height_m;
    const bool split = place.offset_m > height;
    const double scale = split ? place.offset_m : height;
    const std::vector<ContourNode> nodes =
        make_contour(shape, level_panels(shape, kernels.rightmost_per_m() * scale), split, 1);
    ComplexArray lambda;
    lambda.resize(nodes.size());
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        lambda.re[i] = nodes[i].zeta.real() / scale;
        lambda.im[i] = nodes[i].zeta.imag() / scale;
    }
    SurfaceResponse response;
    kernels.evaluate(lambda, response);
    Accumulator sums(kernels, place);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const Orders01 carrier =
            carrier_functions(nodes[i].carrier, nodes[i].zeta * (place.offset_m / scale));
        const Complex weight = nodes[i].weight / scale;
        sums.add(lambda[i], response, i, carrier.order_0 * weight, carrier.order_1 * weight);
    }
    return better_form(sums.whole_sums(), sums.reflected_sums(), place, kernels.k0_per_m(), split);
}

IntegralsWithRounding real_axis_integrals(const LayerKernels& kernels, const Placement& place) {
    const double height = place.source_height_m + place.receiver_height_m;
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
    while (at.real() < smooth_from) {
        panels.emplace_back(at, at + 2.0);
        at += 2.0;
    }
    constexpr std::size_t half_waves = 90;
    for (std::size_t i = 0; i < half_waves; ++i) {
        panels.emplace_back(at, at + pi);
        at += pi;
    }

    const GaussLegendre rule = gauss_legendre(20);
    const std::size_t order = rule.nodes.size();
    ComplexArray lambda;
    lambda.resize(panels.size() * order);
    std::vector<Complex> zeta(lambda.size()), weight(lambda.size());
    for (std::size_t p = 0; p < panels.size(); ++p)
        for (std::size_t i = 0; i < order; ++i) {
            const Complex middle = 0.5 * (panels[p].first + panels[p].second);
            const Complex half = 0.5 * (panels[p].second - panels[p].first);
            zeta[p * order + i] = middle + rule.nodes[i] * half;
            weight[p * order + i] = rule.weights[i] * half / scale;
            lambda.re[p * order + i] = zeta[p * order + i].real() / scale;
            lambda.im[p * order + i] = zeta[p * order + i].imag() / scale;
        }
    SurfaceResponse response;
    kernels.evaluate(lambda, response);

    const std::size_t first_half_wave = panels.size() - half_waves;
    Accumulator sums(kernels, place);
    std::array<std::vector<Complex>, 2 * term_count> partial;
    for (std::size_t p = 0; p < panels.size(); ++p) {
        for (std::size_t i = p * order; i < (p + 1) * order; ++i) {
            const Orders01 j = bessel_j01(zeta[i] * (place.offset_m / scale));
            sums.add(lambda[i], response, i, j.order_0 * weight[i], j.order_1 * weight[i]);
        }
        if (p + 1 >= first_half_wave)
            for (std::size_t t = 0; t < term_count; ++t) {
                partial[t].push_back(sums.whole_sums().value[t]);
                partial[t + term_count].push_back(sums.reflected_sums().value[t]);
            }
    }
    Sums whole = sums.whole_sums(), reflected = sums.reflected_sums();
    if (oscillates)
        for (std::size_t t = 0; t < term_count; ++t) {
            whole.value[t] = epsilon_limit(partial[t]);
            reflected.value[t] = epsilon_limit(partial[t + term_count]);
        }
    return better_form(whole, reflected, place, kernels.k0_per_m(), oscillates);
}

}  // namespace ampturn::model
