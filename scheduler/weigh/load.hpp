#pragma once

#include <string>
#include <vector>

#include "scheduler/weigh/choices.hpp"

namespace ampturn::weigh {

/// Something carried in one piece, or several alike.
struct CarriedPiece {
    std::string name;
    double kg = 0;  // of one
    int count = 1;
};

/// Weight of a metre of wire: metal (plan::density_kg_per_m3) and a sleeve of insulation.
double wire_kg_per_m(const WireChoice& wire);
/// Outer diameter over the insulation.
double insulated_diameter_m(const WireChoice& wire);

/// Nominal watt-hours of one battery: capacity times cells times plan::nominal_cell_v.
double battery_watt_hours(const BatteryChoice& battery);
/// Weight of one battery: own, or watt-hours over what a kilogram holds.
double battery_kg(const BatteryChoice& battery);
int batteries_carried(const BatteryChoice& battery);
BatteryChoice battery_of_plan(const plan::Battery& battery);

double weight_kg(const std::vector<CarriedPiece>& pieces);
/// Loads of at most load_kg, first fit with the heaviest first: never too few, seldom one too many. A piece above load_kg
/// is as many loads by itself as persons would have to share it.
int loads_of(const std::vector<CarriedPiece>& pieces, double load_kg);

/// UN number of a battery with what it means and what follows; numbers from memory.
struct TransportClass {
    int un_number = 0;
    std::string meaning;
    double watt_hours_each = 0;  // 0: does not count for this class
    std::string text() const;
};
TransportClass transport_class(const BatteryChoice& battery);

/// Cautions about pieces too heavy for one person.
std::vector<std::string> lifting_cautions(const std::vector<CarriedPiece>& pieces, double load_kg);

}  // namespace ampturn::weigh
