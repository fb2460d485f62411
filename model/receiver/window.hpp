#pragma once

#include <cstddef>
#include <span>
#include <vector>

/// Data windows and what they cost. Coherent gain = mean(w); noise bandwidth in bins = mean(w^2)/mean(w)^2.
/// Source: definitions and windows as in Harris, Proc. IEEE 66 (1978) 51-83.
namespace ampturn::model::receiver {

/// A window on u in [-1/2, 1/2], largest at 0: the cosine sum w = sum a_k cos(2 pi k u), at least one term.
struct Window {
    std::vector<double> coefficients;
};
Window rectangular_window();
Window hann_window();
Window hamming_window();
Window blackman_window();
Window blackman_harris_window();  ///< four terms, side lobes 92 dB down

/// Half-width of the main lobe, bins: from the middle to the first zero of the spectrum, as many bins as the
/// sum has terms.
int main_lobe_bins(const Window& window);

/// Samples w[0 .. length-1] in the periodic form (denominator N), which is what a transform of N samples wants; length >= 1.
std::vector<double> periodic_samples(const Window& window, std::size_t length);

/// Noise bandwidth, bins.
double noise_bandwidth_bins(const Window& window);

/// Coherent gain of samples, at least one.
double coherent_gain(std::span<const double> samples);

}  // namespace ampturn::model::receiver
