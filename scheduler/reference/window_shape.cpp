#include "scheduler/reference/window_shape.hpp"

#include <boost/math/special_functions/bessel.hpp>
#include <cmath>
#include <complex>
#include <span>
#include <string>

#include "model/base/constants.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/reference/plain_double.hpp"

namespace ampturn::reference {

namespace {

double sinc(double x) { return x == 0 ? 1 : std::sin(model::pi * x) / (model::pi * x); }

// Composite Gauss (5 points) on [0, 1/2], doubled: windows are even and smooth there.
template <class F>
double mean_over_window(const F& f) {
    constexpr double node[] = {0, 0.538469310105683091, 0.906179845938663993};
    constexpr double weight[] = {0.568888888888888889, 0.478628670499366468, 0.236926885056189088};
    constexpr int panels = 256;
    double sum = 0;
    for (int p = 0; p < panels; ++p) {
        const double half = 0.25 / panels;
        const double mid = (2 * p + 1) * half;
        double s = weight[0] * f(mid);
        for (int i = 1; i < 3; ++i) s += weight[i] * (f(mid + half * node[i]) + f(mid - half * node[i]));
        sum += s * half;
    }
    return 2 * sum;
}

double spectrum(const WindowShape& w, double bins) {
    if (w.kind == WindowShape::Kind::cosine_sum) {
        double sum = w.coefficients[0] * sinc(bins);
        for (std::size_t k = 1; k < w.coefficients.size(); ++k) {
            const auto n = static_cast<double>(k);
            sum += w.coefficients[k] / 2 * (sinc(bins - n) + sinc(bins + n));
        }
        return sum;
    }
    return mean_over_window([&](double u) { return w.at(u) * std::cos(2 * model::pi * bins * u); });
}

// Of at least 2; the scalloping loss is that of the periodic form's bins.
WindowFigures figures_of(std::span<const double> samples) {
    const auto n = static_cast<double>(samples.size());
    double sum = 0, square = 0;
    std::complex<double> half_bin = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        sum += samples[i];
        square += samples[i] * samples[i];
        half_bin += samples[i] * std::polar(1.0, -model::pi * static_cast<double>(i) / n);
    }
    return {sum / n, n * square / (sum * sum), -20 * std::log10(std::abs(half_bin) / sum)};
}

std::optional<double> number_after(std::string_view name, std::string_view prefix) {
    if (!name.starts_with(prefix)) return std::nullopt;
    std::string rest(name.substr(prefix.size()));
    for (char& c : rest)
        if (c == 'p') c = '.';
    const std::optional<double> value = base::number_in(rest);
    return value && *value > 0 ? value : std::nullopt;
}

}  // namespace

double WindowShape::at(double u) const {
    switch (kind) {
        case Kind::cosine_sum: {
            double sum = 0;
            for (std::size_t k = 0; k < coefficients.size(); ++k)
                sum += coefficients[k] * std::cos(2 * model::pi * static_cast<double>(k) * u);
            return sum;
        }
        case Kind::triangle:
            return 1 - 2 * std::abs(u);
        case Kind::welch:
            return 1 - 4 * u * u;
        case Kind::cosine:
            return model::receiver::cosine_power_window(parameter).at(u);
        case Kind::tukey:
            return model::receiver::tukey_window(parameter).at(u);
        case Kind::kaiser:
            return boost::math::cyl_bessel_i(
                       0, model::pi * parameter * std::sqrt(std::fmax(0.0, 1 - 4 * u * u)), plain_double) /
                   boost::math::cyl_bessel_i(0, model::pi * parameter, plain_double);
        case Kind::gaussian:
            return std::exp(-2 * parameter * parameter * u * u);
    }
    return 0;
}

std::optional<WindowShape> window_by_name(std::string_view name) {
    using K = WindowShape::Kind;
    struct Named {
        std::string_view name;
        std::vector<double> coefficients;
    };
    static const Named cosine_sums[] = {
        {"rectangular", model::receiver::rectangular_window().coefficients},
        {"hann", model::receiver::hann_window().coefficients},
        {"hamming", model::receiver::hamming_window().coefficients},
        {"blackman", model::receiver::blackman_window().coefficients},
        {"blackman_exact", {7938.0 / 18608, 9240.0 / 18608, 1430.0 / 18608}},
        {"exact_blackman", {7938.0 / 18608, 9240.0 / 18608, 1430.0 / 18608}},
        {"blackman_harris_4_92dB", model::receiver::blackman_harris_window().coefficients},
        {"nuttall_4", {0.3635819, 0.4891775, 0.1365995, 0.0106411}},
        {"flattop_5", {0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368}},
    };
    for (const Named& n : cosine_sums)
        if (n.name == name) return WindowShape{K::cosine_sum, n.coefficients, 0};
    if (name == "triangle" || name == "bartlett") return WindowShape{K::triangle, {}, 0};
    if (name == "welch" || name == "parabolic") return WindowShape{K::welch, {}, 0};
    if (name == "cosine" || name == "sine") return WindowShape{K::cosine, {}, 1};
    if (const auto power = number_after(name, "cosine_"); power && *power <= 20)
        return WindowShape{K::cosine, {}, *power};
    if (const auto taper = number_after(name, "tukey_"); taper && *taper <= 1)
        return WindowShape{K::tukey, {}, *taper};
    if (const auto a = number_after(name, "kaiser_alpha_")) return WindowShape{K::kaiser, {}, *a};
    if (const auto a = number_after(name, "gaussian_alpha_")) return WindowShape{K::gaussian, {}, *a};
    if (const auto a = number_after(name, "gaussian_")) return WindowShape{K::gaussian, {}, *a};
    return std::nullopt;
}

double WindowFigures::worst_case_loss_db() const { return scalloping_db + 10 * std::log10(enbw_bins); }

WindowFigures window_figures(const WindowShape& w) {
    const double gain = spectrum(w, 0);
    const double enbw = w.kind == WindowShape::Kind::cosine_sum
                            ? model::receiver::noise_bandwidth_bins({.coefficients = w.coefficients})
                            : mean_over_window([&](double u) { return w.at(u) * w.at(u); }) / (gain * gain);
    return {gain, enbw, -20 * std::log10(std::abs(spectrum(w, 0.5) / gain))};
}

WindowFigures window_figures(const WindowShape& w, int samples, bool periodic) {
    const double divisor = periodic ? samples : samples - 1;
    std::vector<double> values;
    for (int i = 0; i < samples; ++i) values.push_back(w.at(i / divisor - 0.5));
    return figures_of(values);
}

}  // namespace ampturn::reference
