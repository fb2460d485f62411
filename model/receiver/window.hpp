#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

/// Data windows and what they cost. Coherent gain = mean(w); noise bandwidth in bins = mean(w^2)/mean(w)^2;
/// scalloping loss = -20 log10 |W(1/2 bin)/W(0)|. Source: definitions as in Harris, Proc. IEEE 66 (1978) 51-83.
namespace ampturn::model::receiver {

/// A window on u in [-1/2, 1/2], largest at 0: a cosine sum w = sum a_k cos(2 pi k u), or a shape.
struct Window {
    enum class Shape { cosine_sum, triangle, kaiser, gaussian, welch, cosine } shape = Shape::cosine_sum;
    std::vector<double> coefficients{1};  ///< cosine_sum
    double parameter = 0;  ///< kaiser: alpha (beta = pi alpha); gaussian: alpha, exp(-(2 alpha u)^2/2)
    double at(double u) const;
};

/// By name: rectangular, hann, hamming, blackman, blackman_exact, blackman_harris_4_92dB, nuttall_4,
/// flattop_5, triangle, welch, cosine, kaiser_alpha_X, gaussian_alpha_X (also gaussian_X). nullopt when unknown.
std::optional<Window> window_by_name(std::string_view name);

/// Half-width of the main lobe, bins: from the middle to the first zero of a cosine sum's spectrum, as many
/// bins as it has terms (a shape that is no cosine sum: std::invalid_argument).
int main_lobe_bins(const Window& window);

/// Samples w[0 .. length-1] of a cosine sum in its periodic form (denominator N), which is what a transform
/// of N samples wants; length >= 1.
std::vector<double> periodic_samples(const Window& window, std::size_t length);

struct WindowFigures {
    double coherent_gain;
    double enbw_bins;
    double scalloping_db;
    double worst_case_loss_db() const;  ///< scalloping + 10 log10(enbw)
};
/// The continuous window (many samples). Accuracy 1e-10.
WindowFigures window_figures(const Window& window);
/// Of samples, at least 2; the scalloping loss is that of the periodic form's bins.
WindowFigures window_figures(std::span<const double> samples);
/// Of N samples, N >= 2; periodic: u = n/N - 1/2 (DFT-even), else n/(N - 1) - 1/2.
WindowFigures window_figures(const Window& window, int samples, bool periodic);

}  // namespace ampturn::model::receiver
