#pragma once

#include <limits>
#include <optional>
#include <span>

/// Two heat nodes, winding and electronics, with the copper's (and the switches') resistance rising with
/// their own temperature. Linear for constant rms current, so the state moves by a matrix exponential in closed form.
///
///     Cw dTw/dt = I^2 R20 (1 + a (Tw - 20)) + Pw - (Tw - Ta)/Rwa - (Tw - Te)/Rwe
///     Ce dTe/dt = P0 + I^2 Rb (1 + b (Te - 25)) - (Te - Ta)/Rea + (Tw - Te)/Rwe
namespace ampturn::model::transmitter {

inline constexpr double no_link = std::numeric_limits<double>::infinity();

struct ThermalNodes {
    double winding_j_per_k;
    double electronics_j_per_k;
    double winding_ambient_k_per_w;
    double electronics_ambient_k_per_w;
    double winding_electronics_k_per_w = no_link;
};

/// Heat put in: I^2 R with feedback, plus fixed watts.
struct HeatInput {
    double rms_a;
    double winding_r20_ohm;  ///< with the a.c. ratio in it when that matters
    double winding_alpha20_per_k;
    double bridge_r25_ohm;
    double bridge_beta25_per_k;
    double winding_fixed_w = 0;
    double electronics_fixed_w = 0;
};

struct Temperatures {
    double winding_c;
    double electronics_c;
};

Temperatures after_heating(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                           Temperatures start, double dt_s);
/// nullopt on runaway.
std::optional<Temperatures> steady_temperatures(const ThermalNodes& nodes, const HeatInput& heat,
                                                double ambient_c);
/// First time within horizon_s that the node passes limit_c from below; 0 when it starts at or above it.
enum class HeatNode { winding, electronics };
std::optional<double> time_to_limit_s(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                                      Temperatures start, HeatNode node, double limit_c, double horizon_s);
/// I_rms >= 1/sqrt(R20 a Rwa) runs away when the winding has no link to the electronics; with a link the
/// current at which the larger eigenvalue reaches zero.
double runaway_current_a(const ThermalNodes& nodes, const HeatInput& heat_without_current);

/// A pattern of segments repeated.
struct HeatSegment {
    double duration_s;
    double rms_a;
};
/// Temperatures at the start of the pattern once it repeats; nullopt when the pattern runs away.
std::optional<Temperatures> periodic_temperatures(const ThermalNodes& nodes, const HeatInput& heat,
                                                  double ambient_c, std::span<const HeatSegment> pattern);
/// Fraction of time (on at rms_a, off between, period_s) that holds the winding's periodic maximum at the
/// limit; 1 when even steady current stays below, nullopt when rest alone is above.
std::optional<double> duty_to_hold_limit(const ThermalNodes& nodes, const HeatInput& heat, double ambient_c,
                                         double winding_limit_c, double electronics_limit_c, double period_s);

}  // namespace ampturn::model::transmitter
