#pragma once

#include <complex>
#include <span>
#include <vector>

namespace ampturn::model::receiver {

/// Noise at a receiver station: natural field, sensors, mains. Densities are one-sided; amplitude densities
/// are rms per square root of hertz, power densities their squares. Powers of independent sources add.

/// How strong the natural field is. quiet_day: winter-like daytime, no storm within some 1000 km; typical:
/// annual mid-latitude mean over the day; summer_night: local summer evening or night, storms on the continent.
enum class NaturalLevel { quiet_day, typical, summer_night };

struct NaturalField {
    double b_t_per_rthz;  // background average, one horizontal axis
    double low_factor,
        high_factor;  // about 10 to 90 % of times lie between b / low_factor and b * high_factor
};

/// Horizontal natural magnetic field. frequency_hz from 1 to 1e6, else RangeError.
/// Log-log interpolation of a composite model on published anchors (Maxwell & Stone 1963; Fuellekrug &
/// Fraser-Smith 2011; Garcia & Jones 2002); the curve between anchors is an assumption, the factors say how
/// far it may be off. Above 100 kHz the last slope is continued, about -20 dB a decade: an extrapolation.
NaturalField natural_field(NaturalLevel level, double frequency_hz);

/// Induction coil: n(f) = sqrt((a/f)^2 + floor^2 + (b f)^2), in pT per root hertz.
struct CoilNoise {
    double a_pt, floor_pt_per_rthz, b_pt_per_hz;
};
/// Generic classes; sources with the values: tests/reference/field/sensor_b_noise.csv.
inline constexpr CoilNoise long_coil{0.30, 0.002, 2e-7};     // 0.8 to 1.2 m, about 5 kg
inline constexpr CoilNoise medium_coil{3.0, 0.012, 2e-6};    // 0.15 to 0.4 m; a and b assumed
inline constexpr CoilNoise miniature_coil{14.0, 0.35, 0.0};  // some 5 cm

/// Coil noise, T per root hertz; frequency_hz > 0.
double coil_noise_t_per_rthz(const CoilNoise& coil, double frequency_hz);

/// What an amplifier at the far end of the wire sees of a dipole's voltage: the contact resistance and the wire's
/// capacitance to ground are a low-pass, 1/(1 + i omega R C). R >= 0, C >= 0. Corner frequencies:
/// tests/reference/field/sensor_e_noise.csv.
std::complex<double> wire_response(double contact_resistance_ohm, double capacitance_f, double frequency_hz);

/// Grounded electric dipole: thermal noise of the contact resistance and amplifier current noise through it, both behind
/// the wire's low-pass of size h, amplifier voltage noise, over the spacing:  n = sqrt(h^2 (4 k T R + (i_n R)^2) + e_n^2) / L.
struct ElectrodeNoise {
    double contact_resistance_ohm = 3000;  // both electrodes in series
    double wire_capacitance_f = 0;
    bool low_pass_divided_out = false;  // E and its noise as they are after correction, else as recorded
    double spacing_m = 50;
    double amplifier_v_per_rthz = 5e-9;
    double amplifier_a_per_rthz = 10e-15;
    double temperature_k = 290;
};
/// V/m per root hertz. Source: Nyquist (1928) for the thermal part.
double electrode_noise_v_per_m_rthz(const ElectrodeNoise& electrodes, double frequency_hz);

/// Density of the rounding of a converter, unit^2/Hz: step^2/12 spread evenly to half its rate (Bennett 1948).
double rounding_psd(double full_scale, int bits, double sample_rate_hz);

/// Mains and its harmonics at a station. The fundamental's level is an input; the fall with order and the
/// bands they wander over are generic assumptions (tests/reference/field/powerline_harmonics.csv). How far a
/// line has to keep from them: line_placement.hpp.
struct Mains {
    double frequency_hz = 50;         // 0: no mains anywhere near
    double fundamental_b_t = 0.1e-9;  // rms, horizontal
    bool weak_grid = false;           // island or weak grid: wanders by +-1 % instead of +-0.1 Hz
    int orders = 2000;                // harmonics looked at
};
/// Level of harmonic n relative to the fundamental: odd 1/n^1.2, odd multiples of three up to 25 1.5 times
/// that, even 0.08/n^0.8 (n >= 2). Seen to some hundredth order at most; continued beyond, where a factor of three either
/// way would not surprise (estimate, no source).
double mains_relative_level(int order);
/// Half-width of the band that harmonic n wanders over: max(0.5, 0.1 n) Hz, or 0.5 n Hz on a weak grid.
double mains_wander_hz(int order, bool weak_grid);
/// Power density of mains at a frequency, T^2/Hz: each harmonic's power spread evenly over its band.
double mains_b_psd_t2_per_hz(const Mains& mains, double frequency_hz);

/// A carrier keyed at random with constant envelope (minimum-shift keying): spectral density at a distance
/// from it, one-sided, per unit of its power, 1/Hz:
///
///     (16 T/pi^2) (cos(2 pi d T)/(1 - (4 d T)^2))^2,   T = 0.75/half_width: the first zeros
///
/// half_width_hz > 0. Source: Pasupathy (1979), IEEE Communications Magazine 17(4), 14 (from memory; that it
/// adds up to 1 is tested).
double keyed_carrier_density_per_hz(double half_width_hz, double distance_hz);

/// A measured or assumed amplitude density given point by point, interpolated between neighbours.
class Spectrum {
  public:
    enum class Interpolation { log_log, linear };
    /// Frequencies strictly rising and > 0, densities > 0, at least one point; else RangeError.
    Spectrum(std::vector<double> frequencies_hz, std::vector<double> densities, Interpolation how);
    /// Density at a frequency; outside the points std::out_of_range (a gap is never filled by guessing).
    double at(double frequency_hz) const;
    bool covers(double frequency_hz) const;

  private:
    std::vector<double> frequencies_hz_, densities_;
    Interpolation how_;
};

/// All there is at a station, to be summed channel by channel.
struct StationNoise {
    NaturalLevel natural = NaturalLevel::typical;
    CoilNoise coil = medium_coil;
    ElectrodeNoise electrodes;
    Mains mains;
};

/// Power densities at one frequency, each source by itself: a crew that records natural and controlled fields
/// together counts the natural part as signal in the far field, so it must stay apart.
struct NoisePsd {
    double natural, mains, sensor;  // mains: with whatever other noise of people the caller adds
    double total() const { return natural + mains + sensor; }
};
struct NoiseAt {
    NoisePsd h;  // (A/m)^2/Hz, each horizontal axis, the mean of both
    NoisePsd e;  // (V/m)^2/Hz, each horizontal axis, the mean of both
    // The natural H of an axis over the mean of both, where it comes from one side more than from others; they add up to 2.
    // Its E stands across it: that of the north axis goes with H of the east axis.
    double natural_north = 1, natural_east = 1;

    double h_north() const { return h.total() + (natural_north - 1) * h.natural; }
    double h_east() const { return h.total() + (natural_east - 1) * h.natural; }
    double e_north() const { return e.total() + (natural_east - 1) * e.natural; }
    double e_east() const { return e.total() + (natural_north - 1) * e.natural; }
};
/// `surface_impedance_ohm` is |Z| of the plane wave at this frequency; it turns natural and mains B into E, which the wire
/// lowers unless its low-pass is divided out.
NoiseAt noise_at(const StationNoise& noise, double frequency_hz, double surface_impedance_ohm);

}  // namespace ampturn::model::receiver
