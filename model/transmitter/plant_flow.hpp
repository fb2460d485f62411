#pragma once

#include "model/transmitter/plant.hpp"

/// What flows in the plant at one moment, and how the plant moves while it flows. Inside of the plant.
namespace ampturn::model::transmitter {

/// The quantities that move.
struct Moving {
    BatteryCharge charge;
    std::array<double, 2> winding_c;
    double electronics_c;
};

struct Flow {
    OperatingPoint point;  ///< when sends
    bool sends = false;
    bool deliverable = true;
    double battery_a = 0;
    double battery_v = 0;  ///< at the terminals
    double cutoff_margin_v = 1;
    PowerBalance power;
    BatterySource battery;  ///< when connected
};

class PlantFlow {
  public:
    /// Keeps references: transmitter and state.faults must outlive it.
    PlantFlow(const Transmitter& transmitter, const PlantState& state, const Drive& drive);

    bool connected() const { return connected_; }
    double reference_ah() const { return reference_.capacity_ah; }
    Flow flow(const Moving& m) const;
    /// The state dt later if the flow stays as it is: kinetic battery and heat in closed form.
    Moving after(const Moving& m, const Flow& flow, double dt_s) const;
    PlantReadings readings(const Moving& m, const Flow& flow) const;
    /// From one moment to another nothing moved enough to change what flows by more than
    /// some 1e-4, or `factor` times that.
    bool alike(const Moving& from, const BatterySource& then, const Moving& to, double factor = 1) const;
    BatterySource source(const BatteryCharge& q) const;

  private:
    OperatingPoint operating_point(const Moving& m, const BatterySource& source) const;
    OperatingPoint shorted_point(Conditions at, DriveRequest request) const;
    HeatInput heat(const Flow& flow, loop::LoopSelection winding) const;

    const Transmitter& transmitter_;
    const PlantFaults& faults_;
    const Drive drive_;       // as the cables are plugged
    KineticWells reference_;  // healthy, 25 C: the scale of PlantState::charge
    double usable_ = 1;       // share of it that temperature, age and faults leave
    double battery_c_ = 25;
    bool connected_ = false, supplied_ = false;
    std::array<bool, 2> driven_{};
    ThermalNodes thermal_{};
};

/// Adds what a flow moves in h seconds to the energies, charge and moments of a result.
void add_flow(PlantResult& out, const Flow& flow, double h_s);

/// advance() of plant.hpp, given what flows at the start when that is known.
PlantResult advance_from(const Transmitter& transmitter, PlantState& state, const Drive& drive, double dt_s,
                         const Flow* at_start);

}  // namespace ampturn::model::transmitter
