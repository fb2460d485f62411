#pragma once

#include <array>
#include <optional>

#include "model/transmitter/operating_point.hpp"

/// The plant: what the power stage drives, advanced in time. A plain value: copy it to fork a day.
/// Deterministic; between events it moves in closed form (kinetic battery at the mean current, heat by matrix
/// exponential) in second-order steps whose length follows the change of current; a step in which
/// temperatures and battery hardly move (0.02 K of the windings, 0.05 K of the electronics, 5e-5 of the
/// voltage) and no limit is near is taken with what flows at its start. Faults are data in the state.
namespace ampturn::model::transmitter {

/// Faults. Neutral values mean healthy; set and clear them between calls.
struct PlantFaults {
    std::array<bool, 2> loop_open{};          ///< [A, B]
    std::array<double, 2> short_fraction{};   ///< share of turns shorted, 0..1 (1: a dead short)
    std::array<double, 2> contact_ohm{};      ///< added in series
    std::array<double, 2> area_factor{1, 1};  ///< of a loop that has lost its shape, above 0 to 1
    bool plugs_exchanged = false;             ///< cable A on terminal B and the other way; needs both loops
    bool supply_reversed = false;
    bool battery_disconnected = false;
    double battery_capacity_factor = 1;  ///< weak battery
    double battery_resistance_factor = 1;
    double battery_temperature_offset_k = 0;  ///< cold (or hot) battery
    double battery_leakage_w = 0;             ///< something else draws from it
    double capacitance_factor = 1;            ///< drifted series capacitor
    double winding_cooling_factor = 1;        ///< > 1: cooled worse
    double electronics_cooling_factor = 1;

    bool operator==(const PlantFaults&) const = default;
};

enum class DriveMode { off, self_check, sending };

struct Drive {
    DriveMode mode = DriveMode::off;
    loop::LoopSelection loop = loop::LoopSelection::a;
    int tap_index = 0;
    int capacitor_index = -1;  ///< -1: none
    double frequency_hz = 0;
    double target_fundamental_peak_a = 0;  ///< no_limit: all the transmitter can give
    double amplitude_fraction = 1;         ///< 0..1, of what the target gives: ramps
    double ambient_c = 20;
    double battery_ambient_c = 20;

    bool operator==(const Drive&) const = default;
};

struct PlantState {
    BatteryCharge charge;                     ///< of the healthy bank
    std::array<double, 2> winding_c{20, 20};  ///< [A, B]
    double electronics_c = 20;
    double capacitor_v = 0;    ///< left on the series capacitor when the drive is off
    int capacitor_index = -1;  ///< which one holds it
    bool cut_off =
        false;  ///< battery gone: its own protection opened, or it is empty; until exchange_battery
    PlantFaults faults;

    bool operator==(const PlantState&) const = default;
};
/// Full (soc = 1) battery, everything at ambient.
PlantState plant_at_rest(const Transmitter& transmitter, double ambient_c, double soc = 1);
/// Another battery of the same type in, at a temperature (-60..80 C, checked; the charge is kept on the 25 C
/// scale and does not depend on it) and state of charge 0..1; RangeError otherwise.
void exchange_battery(const Transmitter& transmitter, PlantState& state, double battery_ambient_c,
                      double soc = 1);

/// What instruments would read.
struct PlantReadings {
    bool supplied = false;  ///< right polarity and connected
    bool reversed = false;
    double battery_v = 0;  ///< terminals as seen by the driver (negative when reversed, 0 when disconnected)
    double battery_a = 0;
    double bus_v = 0;
    double battery_w = 0;       ///< at the terminals
    bool below_cutoff = false;  ///< terminals below the battery's cut-off voltage
    double soc_available = 0, soc_total = 0;
    double winding_c = 0;  ///< hotter of the loops
    double electronics_c = 0;
    double fundamental_peak_a = 0, rms_a = 0, peak_a = 0, phase_rad = 0;  ///< loop A, or the loop selected
    double fundamental_b_peak_a = 0;                                      ///< loop B for `both`
    double idle_fundamental_peak_a = 0;  ///< of the loop not selected, where it is closed and coupled
    double moment_peak_a_m2 = 0;         ///< of the loop selected; loop A for `both`
    double moment_b_peak_a_m2 = 0;       ///< loop B for `both`
    double loop_resistance_ohm =
        0;  ///< what the continuity test or the running drive sees; infinite when open
    double capacitor_peak_v = 0;
    Limit limited_by = Limit::target;
    bool no_operating_point = false;  ///< the battery cannot deliver what is asked: nothing is sent
    double shortfall_w = 0;
};

enum class Crossing {
    battery_cutoff,  ///< terminals under load below the battery's cut-off
    battery_empty,   ///< available well empty
    battery_power,   ///< load no longer deliverable
    winding_limit,   ///< reached from below
    electronics_limit,
    winding_restart,  ///< cooled to the restart limit from above
    electronics_restart
};
const char* name_of(Crossing crossing);

/// Energy over the interval, joules; battery_out = sum of the others (conservation is tested to 1e-9).
struct EnergyBalance {
    double battery_out_j = 0;  ///< at the terminals
    double copper_j = 0, bridge_j = 0, switching_j = 0, fixed_j = 0, converter_j = 0, wiring_j = 0,
           leakage_j = 0;
    double internal_j = 0;  ///< inside the battery, not in battery_out
};

struct PlantResult {
    double advanced_s = 0;             ///< < dt when a crossing stopped it
    std::optional<Crossing> crossing;  ///< what happened at advanced_s
    PlantReadings start, end;
    double charge_out_ah = 0;
    double moment_time_a_m2_s = 0;    ///< integral of the fundamental moment; loop A for `both`
    double moment_b_time_a_m2_s = 0;  ///< of loop B for `both`
    EnergyBalance energy;
};

/// Moves the state by dt_s > 0, or to the first crossing. At a crossing the state stands just past it, so
/// that calling again goes on; a limit that is already passed at the start is not reported again (the
/// readings show it). A battery with a protection circuit disconnects at its cut-off, also at once
/// (advanced_s = 0) when a load pulls it below; any battery is gone when its available charge is. Both set
/// state.cut_off: from then on the plant delivers nothing until the battery is exchanged.
PlantResult advance(const Transmitter& transmitter, PlantState& state, const Drive& drive, double dt_s);

/// Readings now, without moving.
PlantReadings read(const Transmitter& transmitter, const PlantState& state, const Drive& drive);

}  // namespace ampturn::model::transmitter
