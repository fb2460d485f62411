#pragma once

/// Round copper wire: resistance at d.c., with skin effect (exact) and with the proximity loss of a bundle
/// (an estimate). SI inside; temperatures in degrees Celsius and named so. Nothing here throws.
namespace ampturn::model::loop {

/// Resistivity of annealed copper at 20 C: 1/58 ohm mm2/m. Source: IEC 60028 (1925), from memory.
inline constexpr double copper_resistivity_20c_ohm_m = 1e-6 / 58.0;
/// Temperature coefficient at 20 C at constant mass. Source: IEC 60028, from memory.
inline constexpr double copper_alpha20_per_k = 0.00393;

/// Aluminium: 0.028264 ohm mm2/m, IEC 60889 (1987); 0.00403 /K. From memory.
inline constexpr double aluminium_resistivity_20c_ohm_m = 0.028264e-6;
inline constexpr double aluminium_alpha20_per_k = 0.00403;

/// A solid round wire, a stranded one of the same metallic area (for skin effect an upper-side estimate
/// only), or `strands` wires insulated from each other and twisted so that each carries the same current (litz).
struct Wire {
    double area_m2;
    int strands = 1;
    double resistivity_20c_ohm_m = copper_resistivity_20c_ohm_m;
    double alpha20_per_k = copper_alpha20_per_k;

    double radius_m() const;
    double strand_radius_m() const;
    /// rho(T) = rho20 (1 + alpha20 (T - 20)); valid -100..200 C (linear part of the metal's curve).
    double resistivity_ohm_m(double temperature_c) const;
    double resistance_dc_ohm_per_m(double temperature_c) const;
};
/// American Wire Gauge: a diameter of 0.127 mm * 92^((36 - n)/39). Sizes 1/0..4/0 are n = 0..-3.
/// Source: ASTM B258 (the definition is exact), from memory.
Wire wire_of_gauge(double awg);
Wire wire_of_area(double area_m2);

/// What alternating current, and a field across it, do to one isolated round wire: R_ac/R_dc, its internal inductance as
/// a fraction of the uniform-current value mu0/8pi per metre, and the share in which eddy currents are out of step with
/// the field.
///
///     Z_int / R_dc = (ka/2) J0(ka)/J1(ka),   eddy_share = -Im{J1(ka)/(ka J0(ka))},   k = (1 - j)/delta
///
/// diameter_over_skin_depth >= 0 (0 gives exactly 1, 1, 0). Accuracy 1e-14 relative: continued fraction of J2/J1
/// below |ka| = 40, Hankel asymptotic series above. Source: Ramo, Whinnery & Van Duzer, ch. 4.
struct SkinEffect {
    double resistance_ratio;
    double internal_inductance_ratio;
    double eddy_share;
};
SkinEffect skin_effect(double diameter_over_skin_depth);

/// The same for a wire (a strand of it; internal inductance 1 with several) at a temperature, frequency_hz >= 0. A
/// uniform transverse field of peak flux density B (the field without the wire) heats it with loss B^2 watts per metre:
/// A = D J1(kr) sin phi, D = 2B/(k J0(ka)), Lommel's integral in closed form; accuracy 1e-12.
struct WireEffect {
    double resistance_ratio;
    double internal_inductance_ratio;
    double transverse_loss_w_per_m_t2;
};
WireEffect wire_effect(const Wire& wire, double temperature_c, double frequency_hz);

/// Radius of a hexagonally filled round bundle: (pitch/2) sqrt(N/0.9069).
double bundle_radius_m(int turns, double pitch_m);

/// ESTIMATE (about +-20 % while d/delta < 2, a guide only above: shielding between wires is ignored) of R_ac/R_dc by
/// skin plus proximity in a bundle of turns at a pitch: skin and proximity loss add (orthogonality, Ferreira 1994,
/// from memory), mean square field of a uniformly filled bundle (mu0 N I/(2 pi Rb))^2/2.
struct BundleEffect {
    double skin_ratio;                 ///< exact, of the wire alone
    double resistance_ratio;           ///< with proximity: the estimate
    double internal_inductance_ratio;  ///< exact, of the wire alone
};
BundleEffect bundle_effect_estimate(const Wire& wire, int turns, double pitch_m, double temperature_c,
                                    double frequency_hz);

}  // namespace ampturn::model::loop
