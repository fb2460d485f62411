#include <fmt/format.h>

#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/curve/curve.hpp"

namespace ampturn::plan {

std::string curve_text(const Curve& curve) {
    std::string text =
        fmt::format("{}{}: apparent resistivity and phase as recorded with these loops, no noise\n",
                    curve.survey_name, curve.invented ? " (invented scenario)" : "");
    for (const StationCurve& station : curve.stations) {
        text += fmt::format("\n{}: {} m from {}, bearing {} deg\n", station.station,
                            decimals(station.offset_m, 1), station.stand, decimals(station.bearing_deg, 1));
        TextTable table({{"frequency", CellSide::right},
                         {"rho xy", CellSide::right, "ohm m"},
                         {"rho yx", CellSide::right, "ohm m"},
                         {"plane", CellSide::right, "ohm m"},
                         {"xy", CellSide::right, "phase, deg"},
                         {"yx", CellSide::right, "phase, deg"},
                         {"plane", CellSide::right, "phase, deg"},
                         {"|tipper|", CellSide::right},
                         {"r/delta", CellSide::right},
                         {"zone", CellSide::left}});
        for (const CurvePoint& p : station.points)
            table.row({{frequency_text(p.frequency_hz)},
                       {significant(p.xy.apparent_resistivity_ohm_m, 4)},
                       {significant(p.yx.apparent_resistivity_ohm_m, 4)},
                       {significant(p.plane_resistivity_ohm_m, 4)},
                       {decimals(p.xy.phase_deg, 1)},
                       {decimals(p.yx.phase_deg, 1)},
                       {decimals(p.plane_phase_deg, 1)},
                       {significant(std::sqrt(std::norm(p.tipper_x) + std::norm(p.tipper_y)), 2)},
                       {significant(p.offset_over_skin_depth, 3)},
                       {zone_word(p.zone)}});
        text += table.text(110, 2, false);
    }
    return text;
}

}  // namespace ampturn::plan
