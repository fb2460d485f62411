#include "model/receiver/window.hpp"

#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::model::receiver {

Window rectangular_window() { return {{1.0}}; }
Window hann_window() { return {{0.5, 0.5}}; }
Window hamming_window() { return {{0.54, 0.46}}; }
Window blackman_window() { return {{0.42, 0.5, 0.08}}; }
Window blackman_harris_window() { return {{0.35875, 0.48829, 0.14128, 0.01168}}; }

int main_lobe_bins(const Window& w) { return static_cast<int>(w.coefficients.size()); }

std::vector<double> periodic_samples(const Window& w, std::size_t length) {
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

double noise_bandwidth_bins(const Window& w) {
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
