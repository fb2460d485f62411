#include "model/inversion/sounding_forward.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/inversion/dipole_contour.hpp"
#include "model/inversion/plane_wave_sensitivity.hpp"

namespace ampturn::model::inversion {
namespace {

using Complex = std::complex<double>;
using Eigen::VectorXd;

/// ln rho_a and phase of an impedance; a constant times the real part of the logarithm, and its imaginary part.
void put(VectorXd& value, Eigen::Index at, Complex z, double frequency_hz) {
    value[at] = std::log(std::norm(z) / (2 * pi * frequency_hz * mu0_h_per_m));
    value[at + 1] = std::arg(z);
}

}  // namespace

ground::LayeredEarth earth_with(const ground::LayeredEarth& fixed, Unknowns unknowns,
                                const VectorXd& parameters) {
    std::vector<ground::Layer> layers(fixed.layers().begin(), fixed.layers().end());
    const std::size_t expected =
        layers.size() + (unknowns == Unknowns::resistivities_and_thicknesses ? layers.size() - 1 : 0);
    check_range(static_cast<double>(parameters.size()), "parameters.size", static_cast<double>(expected),
                static_cast<double>(expected));
    for (std::size_t i = 0; i < layers.size(); ++i) {
        layers[i].resistivity_ohm_m = std::exp(parameters[static_cast<Eigen::Index>(i)]);
        if (unknowns == Unknowns::resistivities_and_thicknesses && i + 1 < layers.size())
            layers[i].thickness_m = std::exp(parameters[static_cast<Eigen::Index>(layers.size() + i)]);
    }
    return ground::LayeredEarth(std::move(layers));
}

VectorXd parameters_of(const ground::LayeredEarth& earth, Unknowns unknowns) {
    const auto count = static_cast<Eigen::Index>(earth.size());
    const bool with_thickness = unknowns == Unknowns::resistivities_and_thicknesses;
    VectorXd parameters(with_thickness ? 2 * count - 1 : count);
    for (Eigen::Index i = 0; i < count; ++i) {
        const ground::Layer& layer = earth[static_cast<std::size_t>(i)];
        parameters[i] = std::log(layer.resistivity_ohm_m);
        if (with_thickness && i + 1 < count) parameters[count + i] = std::log(layer.thickness_m);
    }
    return parameters;
}

ground::LayeredEarth smooth_layering(double first_m, double last_m, int count, double resistivity_ohm_m,
                                     double relative_permittivity) {
    check_range(first_m, "first_m", more_than(0));
    check_range(last_m, "last_m", more_than(first_m));
    check_range(count, "count", 2, 64);
    std::vector<ground::Layer> layers(static_cast<std::size_t>(count));
    const double ratio = count > 2 ? std::pow(last_m / first_m, 1.0 / (count - 2)) : 1;
    double top = 0, bottom = first_m;
    for (std::size_t i = 0; i < layers.size(); ++i) {
        layers[i].resistivity_ohm_m = resistivity_ohm_m;
        layers[i].relative_permittivity = relative_permittivity;
        if (i + 1 < layers.size()) layers[i].thickness_m = bottom - top;
        top = bottom;
        bottom *= ratio;
    }
    return ground::LayeredEarth(std::move(layers));
}

VectorXd layer_tops_m(const ground::LayeredEarth& earth) {
    VectorXd tops = VectorXd::Zero(static_cast<Eigen::Index>(earth.size()));
    for (Eigen::Index i = 1; i < tops.size(); ++i)
        tops[i] = tops[i - 1] + earth[static_cast<std::size_t>(i - 1)].thickness_m;
    return tops;
}

ground::LayeredEarth few_layers_of(const ground::LayeredEarth& smooth, int count) {
    const std::size_t n = smooth.size();
    check_range(count, "count", 1, static_cast<double>(n));
    // Layers of equal weight: the smooth layering is log-spaced already. Cost of one layer over [i, j):
    // squared deviation from its mean.
    std::vector<double> sum(n + 1), squares(n + 1);
    for (std::size_t i = 0; i < n; ++i) {
        const double x = std::log(smooth[i].resistivity_ohm_m);
        sum[i + 1] = sum[i] + x;
        squares[i + 1] = squares[i] + x * x;
    }
    const auto cost = [&](std::size_t i, std::size_t j) {
        const double total = sum[j] - sum[i];
        return squares[j] - squares[i] - total * total / static_cast<double>(j - i);
    };
    const auto parts = static_cast<std::size_t>(count);
    std::vector<std::vector<double>> best(parts + 1, std::vector<double>(n + 1, HUGE_VAL));
    std::vector<std::vector<std::size_t>> cut(parts + 1, std::vector<std::size_t>(n + 1, 0));
    best[0][0] = 0;
    for (std::size_t k = 1; k <= parts; ++k)
        for (std::size_t j = k; j <= n; ++j)
            for (std::size_t i = k - 1; i < j; ++i)
                if (best[k - 1][i] + cost(i, j) < best[k][j]) {
                    best[k][j] = best[k - 1][i] + cost(i, j);
                    cut[k][j] = i;
                }
    std::vector<std::size_t> ends{n};
    for (std::size_t k = parts; k > 1; --k) ends.push_back(cut[k][ends.back()]);
    std::reverse(ends.begin(), ends.end());
    const VectorXd tops = layer_tops_m(smooth);
    std::vector<ground::Layer> layers;
    std::size_t begin = 0;
    for (const std::size_t end : ends) {
        ground::Layer layer = smooth[begin];
        layer.resistivity_ohm_m = std::exp((sum[end] - sum[begin]) / static_cast<double>(end - begin));
        layer.thickness_m =
            end < n ? tops[static_cast<Eigen::Index>(end)] - tops[static_cast<Eigen::Index>(begin)]
                    : std::numeric_limits<double>::infinity();
        layers.push_back(layer);
        begin = end;
    }
    return ground::LayeredEarth(std::move(layers));
}

Forward plane_wave_forward(std::vector<double> frequencies_hz, ground::LayeredEarth fixed,
                           Unknowns unknowns) {
    return [frequencies_hz = std::move(frequencies_hz), fixed = std::move(fixed), unknowns](
               const VectorXd& parameters, bool with_jacobian) {
        const ground::LayeredEarth earth = earth_with(fixed, unknowns, parameters);
        const auto rows = static_cast<Eigen::Index>(2 * frequencies_hz.size());
        Response response;
        response.value.resize(rows);
        if (with_jacobian) response.jacobian.resize(rows, parameters.size());
        const auto count = static_cast<Eigen::Index>(earth.size());
        for (Eigen::Index i = 0; i < rows; i += 2) {
            const double frequency_hz = frequencies_hz[static_cast<std::size_t>(i / 2)];
            const PlaneWaveSensitivity s = plane_wave_sensitivity(earth, frequency_hz);
            put(response.value, i, s.impedance_ohm, frequency_hz);
            for (Eigen::Index j = 0; with_jacobian && j < parameters.size(); ++j) {
                const auto k = static_cast<std::size_t>(j < count ? j : j - count);
                const Complex change =
                    (j < count ? s.by_ln_resistivity_ohm[k] : s.by_ln_thickness_ohm[k]) / s.impedance_ohm;
                response.jacobian(i, j) = 2 * change.real();
                response.jacobian(i + 1, j) = change.imag();
            }
        }
        return response;
    };
}

namespace {

/// A dipole as the receiver sees it.
struct View {
    integrals::Placement place;
    double cosine, sine;         // of the azimuth of the receiver
    double along, across, down;  // moment over 4 pi: towards the receiver, clockwise from it, down

    View(const fields::Dipole& dipole, double receiver_x_m, double receiver_y_m) {
        const double dx = receiver_x_m - dipole.x_m, dy = receiver_y_m - dipole.y_m;
        const double r = std::hypot(dx, dy);
        place = {.offset_m = r, .source_height_m = dipole.height_m, .receiver_height_m = 0};
        cosine = dx / r;
        sine = dy / r;
        const auto [mx, my, mz] = dipole.moment_a_m2;
        along = (mx * cosine + my * sine) / (4 * pi);
        across = (my * cosine - mx * sine) / (4 * pi);
        down = mz / (4 * pi);
    }
    bool same_place(const View& other) const {
        return place.offset_m == other.place.offset_m && place.source_height_m == other.place.source_height_m;
    }
    /// Horizontal fields from the integrals; docs/physics.md gives the formulas. Linear, so
    /// it serves their derivatives as well.
    ground::HorizontalFields fields(const SurfaceIntegrals& f, double omega) const {
        const Complex zh(0, omega * mu0_h_per_m);
        const Complex h_radial = along * f.h_radial - down * f.v_hr;
        const Complex h_phi = across * f.h_across;
        const Complex e_radial = -zh * across * f.e_across;
        const Complex e_phi = zh * (along * f.e_radial - down * f.v_e);
        return {.ex_v_per_m = cosine * e_radial - sine * e_phi,
                .ey_v_per_m = sine * e_radial + cosine * e_phi,
                .hx_a_per_m = cosine * h_radial - sine * h_phi,
                .hy_a_per_m = sine * h_radial + cosine * h_phi};
    }
};

/// Z = E H^-1 and its change dZ = (dE - Z dH) H^-1; only the elements xy and yx.
struct TensorSlope {
    Complex xy, yx;
};
TensorSlope slope_of(const ground::ImpedanceTensor& z, const ground::HorizontalFields& a,
                     const ground::HorizontalFields& b, const ground::HorizontalFields& da,
                     const ground::HorizontalFields& db) {
    const Complex determinant = a.hx_a_per_m * b.hy_a_per_m - b.hx_a_per_m * a.hy_a_per_m;
    const auto row = [&](Complex zx, Complex zy, Complex dea, Complex deb) {
        return std::array{dea - zx * da.hx_a_per_m - zy * da.hy_a_per_m,
                          deb - zx * db.hx_a_per_m - zy * db.hy_a_per_m};
    };
    const auto x = row(z.xx_ohm, z.xy_ohm, da.ex_v_per_m, db.ex_v_per_m);
    const auto y = row(z.yx_ohm, z.yy_ohm, da.ey_v_per_m, db.ey_v_per_m);
    return {.xy = (x[1] * a.hx_a_per_m - x[0] * b.hx_a_per_m) / determinant,
            .yx = (y[0] * b.hy_a_per_m - y[1] * a.hy_a_per_m) / determinant};
}

}  // namespace

Forward source_forward(std::vector<double> frequencies_hz, ground::LayeredEarth fixed, Unknowns unknowns,
                       DipolePair sources, VectorXd correction) {
    const auto rows = static_cast<Eigen::Index>(4 * frequencies_hz.size());
    if (correction.size() == 0) correction = VectorXd::Zero(rows);
    check_range(static_cast<double>(correction.size()), "correction.size", static_cast<double>(rows),
                static_cast<double>(rows));
    const View a(sources.a, sources.receiver_x_m, sources.receiver_y_m);
    const View b(sources.b, sources.receiver_x_m, sources.receiver_y_m);
    // Kept from call to call; shared by copies of the function.
    const bool vertical = a.down != 0 || b.down != 0;
    const auto contour_a = std::make_shared<DipoleContour>(a.place, vertical);
    const auto contour_b = a.same_place(b) ? contour_a : std::make_shared<DipoleContour>(b.place, vertical);
    return [=, frequencies_hz = std::move(frequencies_hz), fixed = std::move(fixed),
            correction = std::move(correction)](const VectorXd& parameters, bool with_jacobian) {
        const ground::LayeredEarth earth = earth_with(fixed, unknowns, parameters);
        const auto count = static_cast<Eigen::Index>(earth.size());
        Response response;
        response.value.resize(rows);
        if (with_jacobian) response.jacobian.resize(rows, parameters.size());
        for (Eigen::Index i = 0; i < rows; i += 4) {
            const double frequency_hz = frequencies_hz[static_cast<std::size_t>(i / 4)];
            const double omega = 2 * pi * frequency_hz;
            const Slopes slopes = !with_jacobian ? Slopes::none
                                  : unknowns == Unknowns::resistivities
                                      ? Slopes::resistivities
                                      : Slopes::resistivities_and_thicknesses;
            const SurfaceSums at_a = contour_a->sums(earth, frequency_hz, slopes);
            const SurfaceSums at_b =
                contour_a == contour_b ? at_a : contour_b->sums(earth, frequency_hz, slopes);
            const ground::HorizontalFields fa = a.fields(at_a.value, omega), fb = b.fields(at_b.value, omega);
            const ground::ImpedanceTensor z = ground::estimate_tensor(fa, fb, {}, {}).impedance;
            put(response.value, i, z.xy_ohm, frequency_hz);
            put(response.value, i + 2, -z.yx_ohm, frequency_hz);
            for (Eigen::Index j = 0; with_jacobian && j < parameters.size(); ++j) {
                const auto k = static_cast<std::size_t>(j < count ? j : j - count);
                const auto& da = j < count ? at_a.by_ln_resistivity[k] : at_a.by_ln_thickness[k];
                const auto& db = j < count ? at_b.by_ln_resistivity[k] : at_b.by_ln_thickness[k];
                const TensorSlope slope = slope_of(z, fa, fb, a.fields(da, omega), b.fields(db, omega));
                const Complex xy = slope.xy / z.xy_ohm, yx = slope.yx / z.yx_ohm;
                response.jacobian(i, j) = 2 * xy.real();
                response.jacobian(i + 1, j) = xy.imag();
                response.jacobian(i + 2, j) = 2 * yx.real();
                response.jacobian(i + 3, j) = yx.imag();
            }
        }
        response.value += correction;
        return response;
    };
}

}  // namespace ampturn::model::inversion
