#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::weigh {

/// What a sender may be made of, from a file of choices. An empty list leaves the plan's own; keys, units and ranges are in
/// choices_file.cpp. Both loops are made alike, as the plan's are.

struct Winding {
    int turns = 0;
    std::vector<int> taps;
};

struct WireChoice {
    double area_mm2 = 0;
    plan::Conductor conductor = plan::Conductor::copper;
    double insulation_thickness_mm = 0.8;
    double insulation_kg_per_m3 = 1400;
    std::optional<double> kg_per_m;     // instead of metal and insulation
    std::optional<double> rated_v_rms;  // of the insulation, to ground; empty: not held against anything
};

struct LoopSizes {
    std::vector<double> side_m;  // of loop A; one of the two
    std::vector<double> factor;  // times every length of the plan's loops
};

struct DriverChoices {
    std::vector<double> bus_v;
};

/// How a lithium battery travels; lead-acid ones have one class either way.
enum class Packed { alone, with_equipment };

struct BatteryChoice {
    plan::Chemistry chemistry = plan::Chemistry::agm;
    double capacity_ah = 0;  // of one
    std::optional<int> cells_series;
    int in_series = 1, in_parallel = 1, sets_carried = 1;
    std::optional<double> cut_off_cell_v;  // empty: by chemistry
    std::optional<double> kg;              // of one
    std::optional<double> wh_per_kg;       // without kg; empty: by chemistry
    Packed packed = Packed::with_equipment;
};

/// Capacitors of one kind in stock.
struct StockCapacitor {
    std::string name;
    double capacitance_f = 0, rated_v_peak = 0, kg = 0;  // of one
    int count = 0;
};

/// What is carried besides: masts, frame, kit.
struct Piece {
    std::string name;
    double kg = 0;        // of one
    double kg_per_m = 0;  // of one, times the perimeter of loop A
    int count = 1;
};

enum class MomentOf { worst, geometric_mean };
enum class WattHours { used, carried };
enum class Choose { moment_per_kg, most_moment, least_weight, least_watt_hours };

struct Search {
    std::vector<double> frequencies_hz;  // empty: the plan's
    MomentOf moment = MomentOf::worst;
    WattHours watt_hours = WattHours::used;
    double sending_h = 1;
    Choose choose = Choose::moment_per_kg;
    int bank_positions = 2;  // capacitors that the unit can switch to, at most
    int in_series_max = 2, in_parallel_max = 2;
    int banks_max = 20'000;  // for one sender, before capacitors are left out
};

struct Limits {
    std::optional<double> weight_kg;
    double load_kg = 20;  // what one person carries at a time
    std::optional<int> loads;
    std::optional<double> capacitor_v_peak;          // the drive is lowered to it
    std::optional<double> winding_c, electronics_c;  // the drive is lowered to them, held for ever
    std::optional<double> least_moment_a_m2;
};

struct Choices {
    Search search;
    Limits limits;
    LoopSizes loop;
    DriverChoices driver;
    std::vector<Winding> windings;
    std::vector<WireChoice> wires;
    std::vector<BatteryChoice> batteries;
    std::vector<StockCapacitor> capacitors;
    std::vector<Piece> pieces;

    std::string path;
    plan::KeyPositions positions;
    /// For errors found later than reading: points at the key in the file of choices.
    base::InputError error(const std::string& key, std::string found, std::string allowed) const;
};

}  // namespace ampturn::weigh
