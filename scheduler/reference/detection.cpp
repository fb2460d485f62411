#include "scheduler/reference/detection.hpp"

#include <boost/math/special_functions/expint.hpp>
#include <cmath>

#include "model/base/constants.hpp"
#include "scheduler/reference/plain_double.hpp"

namespace ampturn::reference {

namespace {

// sin(pi x)/(pi x), exactly zero at whole numbers.
double sinc(double x) {
    if (x == 0) return 1;
    const double nearest = std::round(x);
    const double s = std::sin(model::pi * (x - nearest));
    return (std::fmod(nearest, 2.0) == 0 ? s : -s) / (model::pi * x);
}

double exponential_integral_1(double x) { return boost::math::expint(1, x, plain_double); }

}  // namespace

CoherentDetection coherent_detection(double amplitude_peak, double psd, double duration_s, double enbw_bins) {
    const double sigma = std::sqrt(psd * enbw_bins / duration_s);
    const double snr = amplitude_peak * amplitude_peak * duration_s / (2 * psd * enbw_bins);
    return {enbw_bins / duration_s, sigma, snr, sigma / amplitude_peak, sigma / amplitude_peak};
}

ImpedanceError impedance_error(double snr_e, double snr_h, double records) {
    const double sigma = std::sqrt((1 / snr_e + 1 / snr_h) / (2 * records));
    return {sigma,
            sigma,
            2 * sigma,
            -std::expm1(-records * snr_h),
            (exponential_integral_1(records * snr_e) - exponential_integral_1(records * snr_h)) / 2,
            1 / (1 + 1 / snr_h)};
}

ClockOffsetLoss clock_offset_loss(double frequency_hz, double duration_s, double relative_clock_error) {
    const double slip = frequency_hz * relative_clock_error * duration_s;
    // Whole slips within rounding of the inputs are whole.
    const double whole = std::round(slip);
    const double x = std::abs(slip - whole) <= 1e-13 * std::abs(slip) ? whole : slip;
    return {x, std::abs(sinc(x)), std::abs(sinc(x) + (sinc(x - 1) + sinc(x + 1)) / 2), model::pi * x};
}

}  // namespace ampturn::reference
