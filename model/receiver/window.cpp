#include "model/receiver/window.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::receiver {

Window rectangular_window() { return {{1.0}}; }
Window hann_window() { return {{0.5, 0.5}}; }
Window hamming_window() { return {{0.54, 0.46}}; }
Window blackman_window() { return {{0.42, 0.5, 0.08}}; }
Window blackman_harris_window() { return {{0.35875, 0.48829, 0.14128, 0.01168}}; }

Window tukey_window(double taper_fraction) {
    check_range(taper_fraction, "window.taper_fraction", 1e-6, 1);
    return {.coefficients = {}, .taper = taper_fraction};
}
Window cosine_power_window(double power) {
    check_range(power, "window.power", 0.1, 20);
    return {.coefficients = {}, .power = power};
}

double Window::at(double u) const {
    if (power > 0) return std::pow(std::max(0.0, std::cos(pi * u)), power);
    if (taper > 0) {
        const double into_taper = (2 * std::abs(u) - (1 - taper)) / taper;  // 0 where it begins, 1 at the end
        return into_taper <= 0 ? 1 : 0.5 + 0.5 * std::cos(pi * into_taper);
    }
    double sum = 0;
    for (std::size_t k = 0; k < coefficients.size(); ++k)
        sum += coefficients[k] * std::cos(2 * pi * static_cast<double>(k) * u);
    return sum;
}

int main_lobe_bins(const Window& w) {
    if (w.power > 0) return static_cast<int>(std::ceil(1 + w.power / 2));
    if (w.taper > 0) return 2;
    return static_cast<int>(w.coefficients.size());
}

std::vector<double> periodic_samples(const Window& w, std::size_t length) {
    if (w.coefficients.empty()) {
        std::vector<double> samples(length);
        for (std::size_t n = 0; n < length; ++n)
            samples[n] = w.at(static_cast<double>(n) / static_cast<double>(length) - 0.5);
        return samples;
    }
    // From the first sample on, where the middle's cosines stand half a turn on: every other term changes
    // sign. The second half is the first one's mirror image.
    std::vector<double> samples(length, w.coefficients.front());
    for (std::size_t n = 0; 2 * n <= length; ++n) {
        const double x = 2 * pi * static_cast<double>(n) / static_cast<double>(length);
        double sign = -1;
        for (std::size_t k = 1; k < w.coefficients.size(); ++k, sign = -sign)
            samples[n] += sign * w.coefficients[k] * std::cos(static_cast<double>(k) * x);
        if (n > 0) samples[length - n] = samples[n];
    }
    return samples;
}

double noise_bandwidth_bins(const Window& w) {
    if (w.power > 0) {
        // Mean of cos(pi u)^p: Gamma((p + 1)/2)/(sqrt(pi) Gamma(p/2 + 1)).
        const auto mean = [](double p) {
            return std::tgamma((p + 1) / 2) / (std::sqrt(pi) * std::tgamma(p / 2 + 1));
        };
        return mean(2 * w.power) / (mean(w.power) * mean(w.power));
    }
    if (w.taper > 0) return (1 - 5 * w.taper / 8) / ((1 - w.taper / 2) * (1 - w.taper / 2));
    // Means over whole cosines: a_0, and a_0^2 with half of the other squares.
    const double gain = w.coefficients[0];
    double square = gain * gain;
    for (std::size_t k = 1; k < w.coefficients.size(); ++k)
        square += w.coefficients[k] * w.coefficients[k] / 2;
    return square / (gain * gain);
}

double coherent_gain(std::span<const double> samples) {
    double sum = 0;
    for (const double sample : samples) sum += sample;
    return sum / static_cast<double>(samples.size());
}

}  // namespace ampturn::model::receiver
