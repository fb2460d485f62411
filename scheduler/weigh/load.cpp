#include "scheduler/weigh/load.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/materials.hpp"

namespace ampturn::weigh {

double insulated_diameter_m(const WireChoice& wire) {
    return 2e-3 * (std::sqrt(wire.area_mm2 / std::numbers::pi) + wire.insulation_thickness_mm);
}

double wire_kg_per_m(const WireChoice& wire) {
    if (wire.kg_per_m) return *wire.kg_per_m;
    const double metal_kg_per_m3 = plan::density_kg_per_m3(wire.conductor);
    const double metal_m2 = wire.area_mm2 * 1e-6;
    const double outer_m = insulated_diameter_m(wire);
    return metal_kg_per_m3 * metal_m2 +
           wire.insulation_kg_per_m3 * (std::numbers::pi / 4 * outer_m * outer_m - metal_m2);
}

namespace {

plan::Battery as_in_a_plan(const BatteryChoice& battery) {
    plan::Battery out;
    out.chemistry = battery.chemistry;
    out.cells_series = battery.cells_series;
    return out;
}

/// Common practice, no source.
double typical_wh_per_kg(plan::Chemistry chemistry) {
    switch (chemistry) {
        case plan::Chemistry::lead_acid_flooded:
            return 35;
        case plan::Chemistry::agm:
            return 32;
        case plan::Chemistry::lifepo4:
            return 100;
    }
    throw std::logic_error("chemistry unknown");
}

}  // namespace

double battery_watt_hours(const BatteryChoice& battery) {
    return battery.capacity_ah * as_in_a_plan(battery).cells() * plan::nominal_cell_v(battery.chemistry);
}

double battery_kg(const BatteryChoice& battery) {
    return battery.kg.value_or(battery_watt_hours(battery) /
                               battery.wh_per_kg.value_or(typical_wh_per_kg(battery.chemistry)));
}

int batteries_carried(const BatteryChoice& battery) {
    return battery.in_series * battery.in_parallel * battery.sets_carried;
}

BatteryChoice battery_of_plan(const plan::Battery& battery) {
    return {.chemistry = battery.chemistry,
            .capacity_ah = battery.capacity_ah,
            .cells_series = battery.cells_series,
            .in_series = battery.in_series,
            .in_parallel = battery.in_parallel,
            .sets_carried = battery.sets_carried};
}

double weight_kg(const std::vector<CarriedPiece>& pieces) {
    double sum = 0;
    for (const CarriedPiece& piece : pieces) sum += piece.kg * piece.count;
    return sum;
}

int loads_of(const std::vector<CarriedPiece>& pieces, double load_kg) {
    std::vector<double> single;
    int loads = 0;
    for (const CarriedPiece& piece : pieces)
        for (int i = 0; i < piece.count; ++i) {
            if (piece.kg > load_kg)
                loads += static_cast<int>(std::ceil(piece.kg / load_kg));
            else if (piece.kg > 0)
                single.push_back(piece.kg);
        }
    std::sort(single.begin(), single.end(), std::greater<>());
    std::vector<double> filled;
    for (const double kg : single) {
        const auto room = std::find_if(filled.begin(), filled.end(),
                                       [&](double held) { return held + kg <= load_kg * (1 + 1e-12); });
        if (room == filled.end())
            filled.push_back(kg);
        else
            *room += kg;
    }
    return loads + static_cast<int>(filled.size());
}

TransportClass transport_class(const BatteryChoice& battery) {
    switch (battery.chemistry) {
        case plan::Chemistry::lead_acid_flooded:
            return {2794, "batteries, wet, filled with acid"};
        case plan::Chemistry::agm:
            return {2800, "batteries, wet, non-spillable"};
        case plan::Chemistry::lifepo4:
            break;
    }
    // Up: a battery must not look smaller to a carrier than it is.
    const double watt_hours = std::ceil(battery_watt_hours(battery) * (1 - 1e-12));
    if (battery.packed == Packed::alone) return {3480, "lithium ion batteries by themselves", watt_hours};
    return {3481, "lithium ion batteries packed with equipment or contained in it", watt_hours};
}

std::string TransportClass::text() const {
    std::string out = fmt::format("UN {} ({})", un_number, meaning);
    if (watt_hours_each > 0) {
        out += fmt::format(", {:.0f} Wh each", watt_hours_each);
        if (watt_hours_each > 100) out += ": above the 100 Wh up to which lighter rules hold";
    }
    return out + "; from memory: ask the carrier";
}

std::vector<std::string> lifting_cautions(const std::vector<CarriedPiece>& pieces, double load_kg) {
    constexpr double one_person_kg = 25;  // ISO 11228-1, from memory: reference mass for one person
    std::vector<std::string> out;
    for (const CarriedPiece& piece : pieces) {
        if (piece.kg <= std::min(load_kg, one_person_kg)) continue;
        out.push_back(fmt::format(
            "Lifting: one {} weighs {} kg, more than {} kg: {} persons or a carrier (25 kg is the most for one "
            "person in good conditions, ISO 11228-1, from memory; local rules may say less).",
            piece.name, base::decimals(std::ceil(piece.kg * 10 - 1e-9) / 10, 1),
            base::brief(std::min(load_kg, one_person_kg), 3),
            std::max(2, static_cast<int>(std::ceil(piece.kg / std::min(load_kg, one_person_kg))))));
    }
    return out;
}

}  // namespace ampturn::weigh
