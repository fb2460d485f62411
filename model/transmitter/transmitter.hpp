#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "model/bridge/current_control.hpp"
#include "model/loop/loop.hpp"
#include "model/loop/loop_selection.hpp"
#include "model/transmitter/battery.hpp"
#include "model/transmitter/thermal.hpp"

/// The transmitter as it is built: loops with taps, capacitors, driver, supply, battery, heat paths and
/// limits. TransmitterDesign is plain input; prepare() checks it once and computes what does not change while it runs.
namespace ampturn::model::transmitter {

inline constexpr double no_limit = std::numeric_limits<double>::infinity();

struct SeriesCapacitor {
    double capacitance_f;
    double tolerance = 0.05;  ///< fraction, for the detuning report
    double rated_peak_v = no_limit;
    double bleed_ohm = no_limit;  ///< infinite: no bleed resistor
    double esr_ohm = 0;
};

struct DriverDesign {
    double rds_on_25c_ohm = 0.008;     ///< of one switch; two are always in series with the loop
    double rds_on_beta_per_k = 0.006;  ///< R = R25 (1 + beta (T - 25))
    double overlap_s = 50e-9;
    double dead_time_s = 0;
    double quiescent_w = 2;
    double gate_energy_j = 1.5e-6;  ///< per switch and period
    double duty = 1;                ///< of full drive: 1 square, below quasi-square
    bridge::CurrentControl control = bridge::CurrentControl::duty;
    /// A loop that is not sent with is closed through its tap and the capacitor in use, on both low switches of a
    /// bridge of its own, and carries what the other induces. Open: it carries nothing.
    bool idle_loop_closed = false;
};

/// Between battery and bridge: nothing (bus = terminals), or a converter with a set bus voltage.
struct SupplyDesign {
    bool converter = false;
    double bus_v = 0;       ///< converter only
    double efficiency = 1;  ///< converter only, 0..1
    double standby_w = 0;   ///< converter only, at its input
    double wiring_ohm = 0;  ///< battery to driver
};

struct TransmitterLimits {
    double rms_a = no_limit;
    double peak_a = no_limit;
    double battery_a = no_limit;
    double bus_power_w = no_limit;
    double winding_c = 90;
    double electronics_c = 85;
    double restart_winding_c = 70;
    double restart_electronics_c = 65;
    double self_resonance_margin = 3;  ///< warn when f > self-resonance / margin
};

struct TransmitterDesign {
    loop::LoopDesign loop_a;
    std::optional<loop::LoopDesign> loop_b;
    double loop_b_offset_north_m = 0, loop_b_offset_east_m = 0;
    std::vector<SeriesCapacitor> capacitors;
    DriverDesign driver;
    SupplyDesign supply;
    BatteryBank battery;
    ThermalNodes thermal{5000, 400, 0.4, 1.8};
    TransmitterLimits limits;
    double idle_w = 3;          ///< drawn from the battery whenever it is on and not sending
    double self_check_a = 0.2;  ///< fundamental peak of the continuity test
    double self_check_hz = 100;
};

/// Ready for use. Treat as constant.
struct Transmitter {
    TransmitterDesign design;
    std::vector<loop::LoopTap> taps_a, taps_b;  ///< in the order of LoopDesign::taps
    double mutual_one_turn_h = 0;               ///< loop A to loop B, one turn each; 0 without loop B
    /// Share of it that is rounding: below, the loops count as at right angles.
    static constexpr double least_coupling = 1e-9;

    /// Of loop A for `both`.
    const std::vector<loop::LoopTap>& taps(loop::LoopSelection loop) const {
        return loop == loop::LoopSelection::b ? taps_b : taps_a;
    }
};

/// Throws RangeError under the name of a member of TransmitterDesign: "battery.cells", "loop_a.pitch_m",
/// "capacitors.tolerance" with the capacitor's index.
Transmitter prepare(TransmitterDesign design);

}  // namespace ampturn::model::transmitter
