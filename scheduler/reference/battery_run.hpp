#pragma once

#include <optional>

#include "model/transmitter/battery.hpp"

/// Whole runs of a battery alone, for the reference cases: the plant steps the same kinetic model with
/// everything else that moves. Peukert's law as a cross-check of it.
namespace ampturn::reference {

/// The most that the terminals give: E^2/4R.
double max_power_w(const model::transmitter::BatterySource& source);

/// First time the available well is empty at constant current; nullopt when it never is (current <= 0).
std::optional<double> time_to_empty_s(const model::transmitter::KineticWells& w,
                                      const model::transmitter::BatteryCharge& q, double current_a);
/// The current that empties the available well in exactly dt_s.
double current_to_empty_a(const model::transmitter::KineticWells& w,
                          const model::transmitter::BatteryCharge& q, double dt_s);

/// Peukert's law: t = H (C/(I H))^k. Cross-check for single constant loads only.
double peukert_time_h(double capacity_ah, double rated_hours, double current_a, double exponent);

enum class CutoffReason { voltage, empty, power };

/// Runs one load for dt or until the bank cuts off. Exactly one of current and power is given.
struct BatteryLoad {
    std::optional<double> current_a;
    std::optional<double> power_w;
};
struct BatteryRun {
    model::transmitter::BatteryCharge charge;
    double elapsed_s;
    std::optional<CutoffReason> cutoff;  ///< what ended the run before dt
};
BatteryRun run_battery(const model::transmitter::BatteryBank& bank, double temperature_c,
                       model::transmitter::BatteryCharge start, const BatteryLoad& load, double dt_s);

}  // namespace ampturn::reference
