#include "scheduler/rehearse/process/taper.hpp"

#include <array>
#include <cmath>
#include <complex>
#include <span>
#include <stdexcept>

#include "model/base/constants.hpp"

namespace ampturn::rehearse {
namespace {

/// w = a0 - a1 cos x + a2 cos 2x - a3 cos 3x, x = 2 pi n / N.
std::span<const double> cosine_terms(plan::Window window) {
    static constexpr std::array rectangular{1.0};
    static constexpr std::array hann{0.5, 0.5};
    static constexpr std::array hamming{0.54, 0.46};
    static constexpr std::array blackman{0.42, 0.5, 0.08};
    static constexpr std::array blackman_harris{0.35875, 0.48829, 0.14128, 0.01168};
    switch (window) {
        case plan::Window::rectangular:
            return rectangular;
        case plan::Window::hann:
            return hann;
        case plan::Window::hamming:
            return hamming;
        case plan::Window::blackman:
            return blackman;
        case plan::Window::blackman_harris:
            return blackman_harris;
    }
    throw std::invalid_argument("window unknown");
}

double sum_of(const std::vector<double>& weights) {
    double sum = 0;
    for (const double w : weights) sum += w;
    return sum;
}

}  // namespace

std::vector<double> taper(plan::Window window, std::size_t length) {
    const auto terms = cosine_terms(window);
    std::vector<double> weights(length);
    for (std::size_t n = 0; n < length; ++n) {
        const double x = 2 * model::pi * static_cast<double>(n) / static_cast<double>(length);
        double sign = 1;
        for (std::size_t term = 0; term < terms.size(); ++term, sign = -sign)
            weights[n] += sign * terms[term] * std::cos(static_cast<double>(term) * x);
    }
    return weights;
}

double coherent_gain(const std::vector<double>& weights) {
    return sum_of(weights) / static_cast<double>(weights.size());
}

double noise_bandwidth_bins(const std::vector<double>& weights) {
    double squares = 0;
    for (const double w : weights) squares += w * w;
    const double sum = sum_of(weights);
    return static_cast<double>(weights.size()) * squares / (sum * sum);
}

double scalloping_loss_db(const std::vector<double>& weights) {
    std::complex<double> half_bin = 0;
    for (std::size_t n = 0; n < weights.size(); ++n)
        half_bin +=
            std::polar(weights[n], -model::pi * static_cast<double>(n) / static_cast<double>(weights.size()));
    return -20 * std::log10(std::abs(half_bin) / sum_of(weights));
}

int main_lobe_bins(plan::Window window) { return static_cast<int>(cosine_terms(window).size()); }

}  // namespace ampturn::rehearse
