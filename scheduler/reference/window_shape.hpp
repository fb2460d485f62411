#pragma once

#include <optional>
#include <string_view>
#include <vector>

/// Windows of other shapes than the cosine sums of the model, and figures that no plan asks for: scalloping loss =
/// -20 log10 |W(1/2 bin)/W(0)|. Source: definitions as in Harris, Proc. IEEE 66 (1978) 51-83.
namespace ampturn::reference {

/// A window on u in [-1/2, 1/2], largest at 0.
struct WindowShape {
    enum class Kind { cosine_sum, triangle, kaiser, gaussian, welch, cosine, tukey } kind = Kind::cosine_sum;
    std::vector<double> coefficients{1};  ///< cosine_sum: that of model/receiver/window.hpp
    double parameter = 0;  ///< kaiser: alpha (beta = pi alpha); gaussian: alpha, exp(-(2 alpha u)^2/2);
                           ///< cosine: power; tukey: taper fraction
    double at(double u) const;
};

/// By name: rectangular, hann, hamming, blackman, blackman_exact, blackman_harris_4_92dB, nuttall_4,
/// flattop_5, triangle, welch, cosine, cosine_X (power), tukey_X (taper fraction), kaiser_alpha_X, gaussian_alpha_X (also gaussian_X). nullopt when unknown.
std::optional<WindowShape> window_by_name(std::string_view name);

struct WindowFigures {
    double coherent_gain;
    double enbw_bins;
    double scalloping_db;
    double worst_case_loss_db() const;  ///< scalloping + 10 log10(enbw)
};
/// The continuous window (many samples). Accuracy 1e-10.
WindowFigures window_figures(const WindowShape& window);
/// Of N samples, N >= 2; periodic: u = n/N - 1/2 (DFT-even), else n/(N - 1) - 1/2.
WindowFigures window_figures(const WindowShape& window, int samples, bool periodic);

}  // namespace ampturn::reference
