#pragma once

#include <cstddef>
#include <span>
#include <vector>

/// Data windows and what they cost. Coherent gain = mean(w); noise bandwidth in bins = mean(w^2)/mean(w)^2.
/// Source: definitions and windows as in Harris, Proc. IEEE 66 (1978) 51-83.
namespace ampturn::model::receiver {

/// A window on u in [-1/2, 1/2], largest at 0.
struct Window {
    /// The cosine sum w = sum a_k cos(2 pi k u), at least one term; used when power and taper are 0.
    std::vector<double> coefficients;
    /// w = cos(pi u)^power.
    double power = 0;
    /// Tukey's: 1 in the middle, the share `taper` of the record falling by a half cosine at both ends together.
    double taper = 0;

    double at(double u) const;
};
Window rectangular_window();
Window hann_window();
Window hamming_window();
Window blackman_window();
Window blackman_harris_window();             ///< four terms, side lobes 92 dB down
Window tukey_window(double taper_fraction);  ///< (0, 1], else RangeError "window.taper_fraction"; 1 is Hann's
Window cosine_power_window(double power);    ///< [0.1, 20], else RangeError "window.power"; 2 is Hann's

/// Half-width of the main lobe, bins: from the middle to the first zero of the spectrum, for a cosine sum as many bins as
/// it has terms, for cos^p 1 + p/2 and for Tukey's at most 2; rounded up to whole bins.
int main_lobe_bins(const Window& window);

/// Samples w[0 .. length-1] in the periodic form (denominator N), which is what a transform of N samples wants; length >= 1.
std::vector<double> periodic_samples(const Window& window, std::size_t length);

/// Noise bandwidth, bins.
double noise_bandwidth_bins(const Window& window);

/// Coherent gain of samples, at least one.
double coherent_gain(std::span<const double> samples);

}  // namespace ampturn::model::receiver
