#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

/// Batteries: kinetic model (available and bound charge), open-circuit voltage and resistance against state
/// of charge and temperature, strings in series and parallel, constant-current and constant-power loads.
/// Charge in ampere-hours (named _ah) as on the label; time in seconds; discharge current positive.
namespace ampturn::model::transmitter {

enum class Chemistry { lead_flooded, lead_agm, lifepo4 };

/// Which state of charge drives voltage and resistance: the available well (lead-acid: acid
/// at the plates) or the total charge.
enum class SocForVoltage { available, total };

/// One block ("battery") as bought. Tables are inputs; the defaults of typical_block are illustrative (common
/// practice, no source), not data of any real battery.
struct BatteryBlock {
    Chemistry chemistry = Chemistry::lead_agm;
    int cells = 6;
    double capacity_25c_ah =
        40;  ///< total charge at 25 C when new, more than what can be taken out at any rate
    double available_fraction = 0.35;  ///< c, 0..1
    double rate_per_h = 0.8;           ///< k = k'/(c(1-c))
    std::vector<double> ocv_soc;       ///< ascending, 0..1
    std::vector<double> ocv_v_per_cell;
    /// At the end the cell's voltage falls by knee_v_per_cell exp(-soc / knee_soc) more, so that the terminals
    /// warn before the charge is out; knee_soc > 0. Common practice, no source.
    double knee_v_per_cell = 0, knee_soc = 0.025;
    double r25_ohm_per_cell = 2.2e-3;
    double r_soc_coeff = 0.9;            ///< R ~ 1 + coeff (1 - soc)^2
    double r_temp_per_k = -0.01;         ///< R ~ exp(coeff (T - 25))
    bool disconnects_at_cutoff = false;  ///< a protection circuit inside opens at the cut-off
    double cutoff_v_per_cell = 1.75;     ///< at the terminals, under load
    SocForVoltage soc_for_voltage = SocForVoltage::available;
    bool ieee485_capacity = true;  ///< capacity against temperature by the IEEE 485 factor
    std::vector<double> capacity_temperature_c,
        capacity_fraction;             ///< used when ieee485_capacity is false; empty = 1
    double age_capacity_fraction = 1;  ///< left after ageing
    double age_resistance_factor = 1;
};
BatteryBlock typical_block(Chemistry chemistry, double nominal_v, double capacity_ah);

/// What a new block gives at 25 C when emptied in a given time: rated, and in one hour.
struct RatedCapacity {
    double rated_ah, rated_hours;  // rated_hours > 1
    double one_hour_fraction;      // of rated_ah
};
/// c and k of the kinetic model, and its total charge, for which both ratings hold: emptied at constant current in T
/// hours the model gives q k c T/(1 - e^{-kT} + c (kT - 1 + e^{-kT})) (Manwell & McGowan 1993, from memory). c is taken
/// as given, or less where even it gives more in an hour; of the two rates that fit, the quicker. RangeError
/// "rated_hours" at one hour or less, "one_hour_fraction" outside 0.001 to 0.9999.
struct KineticFit {
    double available_fraction, rate_per_h, capacity_ah;
};
KineticFit kinetic_fit(const RatedCapacity& rated, double available_fraction);
/// Total charge with which wells of c and k give the rating.
double total_charge_ah(double available_fraction, double rate_per_h, double rated_ah, double rated_hours);

/// Blocks in series and parallel.
struct BatteryBank {
    BatteryBlock block;
    int series = 1;
    int parallel = 1;
};

/// Charge in the two wells of the whole bank, ampere-hours.
struct BatteryCharge {
    double available_ah;
    double bound_ah;

    bool operator==(const BatteryCharge&) const = default;
};

/// The two-well kinetics in the form that is integrated: capacity q, c, k.
struct KineticWells {
    double capacity_ah;
    double available_fraction;
    double rate_per_h;
};
/// Usable share of the capacity at 25 C when new: temperature and age. Colder than the coldest value known the slope
/// is continued, never below a twentieth.
double capacity_factor(const BatteryBlock& block, double temperature_c);
/// The coldest temperature for which the capacity is tabulated.
double coldest_known_c(const BatteryBlock& block);
/// Of an extrapolated share, to be told beside it: a fifth (estimate, no source).
inline constexpr double extrapolated_capacity_uncertainty_rel = 0.2;
KineticWells wells(const BatteryBank& bank, double temperature_c);
BatteryCharge charge_at_soc(const KineticWells& w, double soc);
double soc_available(const KineticWells& w, const BatteryCharge& q);
double soc_total(const KineticWells& w, const BatteryCharge& q);

/// Wells after dt at constant current (closed form, Manwell & McGowan 1993, from memory). No stop at empty.
BatteryCharge after_constant_current(const KineticWells& w, const BatteryCharge& q, double current_a,
                                     double dt_s);

/// IEEE 485 cell-size factor by linear interpolation of its Table 1 (37 entries, from memory); usable
/// capacity = capacity/factor. Outside -3.9..51.7 C the end's slope is continued (`inside` says so): at -20 C 2.04,
/// where a published cubic has 2.09 (tests/reference/field/battery_temp_leadacid.csv).
struct TemperatureFactor {
    double factor;
    bool inside;
};
TemperatureFactor ieee485_factor(double temperature_c);

/// The terminals: V = E - I R.
struct BatterySource {
    double ocv_v;
    double resistance_ohm;
    double cutoff_v;
};
BatterySource battery_source(const BatteryBank& bank, double soc, double temperature_c);
double soc_for_voltage(const BatteryBank& bank, const KineticWells& w, const BatteryCharge& q);

/// Current of a constant-power load, the branch of higher voltage: I = 2P/(E +
/// sqrt(E^2 - 4RP)); nullopt above E^2/4R.
std::optional<double> constant_power_current_a(const BatterySource& source, double power_w);

/// Below these a LiFePO4 cell must not be charged, and must not be discharged. Common practice, no source.
inline constexpr double lifepo4_charge_min_c = 0.0;
inline constexpr double lifepo4_discharge_min_c = -20.0;

}  // namespace ampturn::model::transmitter
