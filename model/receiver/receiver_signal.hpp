#pragma once

#include <array>
#include <complex>

/// Pieces of what a receiver records, as pure functions: random numbers come in as arguments, so the caller
/// decides where they are from.
namespace ampturn::model::receiver {

/// Natural field as impulses (sferics) on a Gaussian background. Both together have the power density of
/// model/receiver/noise.hpp; the split only shapes the amplitude statistics. That atmospheric noise at these
/// frequencies is impulsive, with log-normal-like heights, is well known (Field & Lewinstein 1978, IEEE
/// Trans. Comm. 26, from memory); the three figures are assumptions, no source.
struct ImpulseStatistics {
    double per_second = 40;       // of impulses high enough to be told from the background
    double power_fraction = 0.6;  // of the natural power that the impulses carry
    double sd_ln_height = 0.8;    // of the log-normal heights
};
/// Height of an impulse from a standard normal draw; mean square 1.
double impulse_height(const ImpulseStatistics& statistics, double standard_normal);

/// Magnetic and electric noise of one axis pair (Hy, Ex) or (Hx, -Ey) at one frequency, drawn from two
/// independent unit complex numbers g, q:
///
///     H = h g,   E = Z foretold g + free q
///
/// so that H has the density S_n + S_h, E has |Z|^2 S_n + S_e, and their cross-density is Z S_n: the natural
/// field ties them, the sensors do not.
struct CorrelatedPair {
    double h, foretold;  // A/m per root hertz
    double free;         // V/m per root hertz
};
/// Densities >= 0, one-sided.
CorrelatedPair correlated_pair(double natural_h_psd, double sensor_h_psd, double sensor_e_psd,
                               std::complex<double> impedance_ohm);

/// Mains frequency wandering inside nominal +- half_width_hz: a sum of three slow sines with phases given.
/// The periods (37, 113 and 311 s) are assumptions; real grids wander irregularly over such times.
struct MainsWander {
    double nominal_hz;
    double half_width_hz;
    std::array<double, 3> phase_rad;

    /// Cycles of the fundamental since time 0: the integral of the frequency.
    double cycles(double time_s) const;
};

/// Stepped ramp up, dwell, stepped ramp down, in whole cycles: factor on the amplitude at a number of cycles
/// after the start. 0 before and after. Levels change at whole cycles, as evenly as those allow.
struct StepEnvelope {
    double ramp_cycles, dwell_cycles;
    double levels;  ///< of a ramp, whole, 1..ramp_cycles; any without ramp
    double at(double cycle) const;
};

/// Analogue-to-digital converter: rounds to steps of 2 full_scale/2^bits, holds at the ends.
struct Adc {
    double step, full_scale;
    double quantized(double value) const {
        // Adding and taking away 1.5 * 2^52 rounds to the nearest whole number.
        constexpr double rounder = 0x1.8p52;
        const double rounded = ((value / step + rounder) - rounder) * step;
        return rounded > full_scale ? full_scale : rounded < -full_scale ? -full_scale : rounded;
    }
    bool clips(double value) const { return value > full_scale || value < -full_scale; }
};
/// bits 2 to 32, full_scale > 0. `decimation` >= 1: samples kept one in so many after an ideal filter; the
/// step shrinks by its root, which leaves the density of the rounding noise as the converter made it
/// (step^2/12 spread to half its own rate; Bennett 1948).
Adc adc(double full_scale, int bits, double decimation);

}  // namespace ampturn::model::receiver
