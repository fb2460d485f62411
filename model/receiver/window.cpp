#include "model/receiver/window.hpp"

#include <charconv>
#include <cmath>
#include <complex>
#include <stdexcept>

#include "model/base/constants.hpp"

namespace ampturn::model::receiver {

namespace {

double sinc(double x) { return x == 0 ? 1 : std::sin(pi * x) / (pi * x); }

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

double spectrum(const Window& w, double bins) {
    if (w.shape == Window::Shape::cosine_sum) {
        double sum = w.coefficients[0] * sinc(bins);
        for (std::size_t k = 1; k < w.coefficients.size(); ++k) {
            const auto n = static_cast<double>(k);
            sum += w.coefficients[k] / 2 * (sinc(bins - n) + sinc(bins + n));
        }
        return sum;
    }
    return mean_over_window([&](double u) { return w.at(u) * std::cos(2 * pi * bins * u); });
}

std::optional<double> number_after(std::string_view name, std::string_view prefix) {
    if (!name.starts_with(prefix)) return std::nullopt;
    std::string rest(name.substr(prefix.size()));
    for (char& c : rest)
        if (c == 'p') c = '.';
    double value = 0;
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    if (error != std::errc() || end != rest.data() + rest.size() || !(value > 0)) return std::nullopt;
    return value;
}

}  // namespace

double Window::at(double u) const {
    switch (shape) {
        case Shape::cosine_sum: {
            double sum = 0;
            for (std::size_t k = 0; k < coefficients.size(); ++k)
                sum += coefficients[k] * std::cos(2 * pi * static_cast<double>(k) * u);
            return sum;
        }
        case Shape::triangle:
            return 1 - 2 * std::abs(u);
        case Shape::welch:
            return 1 - 4 * u * u;
        case Shape::cosine:
            return std::cos(pi * u);
        case Shape::kaiser:
            return std::cyl_bessel_i(0.0, pi * parameter * std::sqrt(std::fmax(0.0, 1 - 4 * u * u))) /
                   std::cyl_bessel_i(0.0, pi * parameter);
        case Shape::gaussian:
            return std::exp(-2 * parameter * parameter * u * u);
    }
    return 0;
}

std::optional<Window> window_by_name(std::string_view name) {
    using S = Window::Shape;
    struct Named {
        std::string_view name;
        std::vector<double> coefficients;
    };
    static const Named cosine_sums[] = {
        {"rectangular", {1.0}},
        {"hann", {0.5, 0.5}},
        {"hamming", {0.54, 0.46}},
        {"blackman", {0.42, 0.5, 0.08}},
        {"blackman_exact", {7938.0 / 18608, 9240.0 / 18608, 1430.0 / 18608}},
        {"exact_blackman", {7938.0 / 18608, 9240.0 / 18608, 1430.0 / 18608}},
        {"blackman_harris_4_92dB", {0.35875, 0.48829, 0.14128, 0.01168}},
        {"nuttall_4", {0.3635819, 0.4891775, 0.1365995, 0.0106411}},
        {"flattop_5", {0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368}},
    };
    for (const Named& n : cosine_sums)
        if (n.name == name) return Window{S::cosine_sum, n.coefficients, 0};
    if (name == "triangle" || name == "bartlett") return Window{S::triangle, {}, 0};
    if (name == "welch" || name == "parabolic") return Window{S::welch, {}, 0};
    if (name == "cosine" || name == "sine") return Window{S::cosine, {}, 0};
    if (const auto a = number_after(name, "kaiser_alpha_")) return Window{S::kaiser, {}, *a};
    if (const auto a = number_after(name, "gaussian_alpha_")) return Window{S::gaussian, {}, *a};
    if (const auto a = number_after(name, "gaussian_")) return Window{S::gaussian, {}, *a};
    return std::nullopt;
}

int main_lobe_bins(const Window& w) {
    if (w.shape != Window::Shape::cosine_sum)
        throw std::invalid_argument("main lobe: only that of a cosine sum is known");
    return static_cast<int>(w.coefficients.size());
}

std::vector<double> periodic_samples(const Window& w, std::size_t length) {
    if (w.shape != Window::Shape::cosine_sum)
        throw std::invalid_argument("samples of a window: only of a cosine sum");
    // From the first sample on, where the middle's cosines stand half a turn on: every other term changes
    // sign.
    std::vector<double> samples(length);
    for (std::size_t n = 0; n < length; ++n) {
        const double x = 2 * pi * static_cast<double>(n) / static_cast<double>(length);
        double sign = 1;
        for (std::size_t k = 0; k < w.coefficients.size(); ++k, sign = -sign)
            samples[n] += sign * w.coefficients[k] * std::cos(static_cast<double>(k) * x);
    }
    return samples;
}

double WindowFigures::worst_case_loss_db() const { return scalloping_db + 10 * std::log10(enbw_bins); }

WindowFigures window_figures(const Window& w) {
    const double gain = spectrum(w, 0);
    double square = 0;
    if (w.shape == Window::Shape::cosine_sum) {
        square = w.coefficients[0] * w.coefficients[0];
        for (std::size_t k = 1; k < w.coefficients.size(); ++k)
            square += w.coefficients[k] * w.coefficients[k] / 2;
    } else {
        square = mean_over_window([&](double u) { return w.at(u) * w.at(u); });
    }
    return {gain, square / (gain * gain), -20 * std::log10(std::abs(spectrum(w, 0.5) / gain))};
}

WindowFigures window_figures(std::span<const double> samples) {
    const auto n = static_cast<double>(samples.size());
    double sum = 0, square = 0;
    std::complex<double> half_bin = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        sum += samples[i];
        square += samples[i] * samples[i];
        half_bin += samples[i] * std::polar(1.0, -pi * static_cast<double>(i) / n);
    }
    return {sum / n, n * square / (sum * sum), -20 * std::log10(std::abs(half_bin) / sum)};
}

WindowFigures window_figures(const Window& w, int samples, bool periodic) {
    const double divisor = periodic ? samples : samples - 1;
    std::vector<double> values;
    for (int i = 0; i < samples; ++i) values.push_back(w.at(i / divisor - 0.5));
    return window_figures(values);
}

}  // namespace ampturn::model::receiver
