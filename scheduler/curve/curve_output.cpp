#include "scheduler/curve/curve_output.hpp"

#include <fmt/format.h>

#include <cmath>
#include <complex>
#include <nlohmann/json.hpp>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::curve {

namespace {

nlohmann::ordered_json pair_of(std::complex<double> z) {
    return nlohmann::ordered_json::array({z.real(), z.imag()});
}

}  // namespace

std::string name_of(model::ground::Zone zone) {
    switch (zone) {
        case model::ground::Zone::far_field:
            return "far field";
        case model::ground::Zone::transition:
            return "transition";
        case model::ground::Zone::near_field:
            return "near field";
    }
    return "";
}

std::string curve_text(const Curve& curve) {
    std::string text =
        fmt::format("{}{}: apparent resistivity and phase as recorded with these loops, no noise\n",
                    curve.survey_name, curve.invented ? " (invented scenario)" : "");
    for (const StationCurve& station : curve.stations) {
        text += fmt::format("\n{}: {} m from {}, bearing {} deg\n", station.station,
                            base::decimals(station.offset_m, 1), station.site,
                            base::decimals(station.bearing_deg, 1));
        base::TextTable table({{"frequency", base::CellSide::right},
                               {"rho xy", base::CellSide::right, "ohm m"},
                               {"rho yx", base::CellSide::right, "ohm m"},
                               {"plane", base::CellSide::right, "ohm m"},
                               {"xy", base::CellSide::right, "phase, deg"},
                               {"yx", base::CellSide::right, "phase, deg"},
                               {"plane", base::CellSide::right, "phase, deg"},
                               {"|tipper|", base::CellSide::right},
                               {"r/delta", base::CellSide::right},
                               {"zone", base::CellSide::left}});
        for (const CurvePoint& p : station.points)
            table.row({{base::frequency_text(p.frequency_hz)},
                       {base::significant(p.xy.apparent_resistivity_ohm_m, 4)},
                       {base::significant(p.yx.apparent_resistivity_ohm_m, 4)},
                       {base::significant(p.plane_resistivity_ohm_m, 4)},
                       {base::decimals(p.xy.phase_deg, 1)},
                       {base::decimals(p.yx.phase_deg, 1)},
                       {base::decimals(p.plane_phase_deg, 1)},
                       {base::significant(std::sqrt(std::norm(p.tipper_x) + std::norm(p.tipper_y)), 2)},
                       {base::significant(p.offset_over_skin_depth, 3)},
                       {name_of(p.zone)}});
        text += table.text(110, 2, false);
    }
    return text;
}

std::string curve_csv(const Curve& curve) {
    base::CsvTable table({"station",
                          "site",
                          "offset_m",
                          "bearing_deg",
                          "frequency_hz",
                          "rho_xy_ohm_m",
                          "phase_xy_deg",
                          "rho_yx_ohm_m",
                          "phase_yx_deg",
                          "plane_rho_ohm_m",
                          "plane_phase_deg",
                          "bias_rho_xy_percent",
                          "bias_phase_xy_deg",
                          "bias_rho_yx_percent",
                          "bias_phase_yx_deg",
                          "tipper_x_re",
                          "tipper_x_im",
                          "tipper_y_re",
                          "tipper_y_im",
                          "offset_over_skin_depth",
                          "zone"});
    for (const StationCurve& s : curve.stations)
        for (const CurvePoint& p : s.points) {
            table.cell(s.station).cell(s.site).cell(s.offset_m).cell(s.bearing_deg).cell(p.frequency_hz);
            table.cell(p.xy.apparent_resistivity_ohm_m).cell(p.xy.phase_deg);
            table.cell(p.yx.apparent_resistivity_ohm_m).cell(p.yx.phase_deg);
            table.cell(p.plane_resistivity_ohm_m).cell(p.plane_phase_deg);
            table.cell(100 * p.bias_xy.resistivity_rel).cell(p.bias_xy.phase_deg);
            table.cell(100 * p.bias_yx.resistivity_rel).cell(p.bias_yx.phase_deg);
            table.cell(p.tipper_x.real()).cell(p.tipper_x.imag());
            table.cell(p.tipper_y.real()).cell(p.tipper_y.imag());
            table.cell(p.offset_over_skin_depth).cell(name_of(p.zone)).end_row();
        }
    return table.text();
}

std::string curve_json_text(const Curve& curve) {
    nlohmann::ordered_json out;
    out["generator"] = fmt::format("ampturn {} ({})", base::version(), base::git_hash());
    out["survey"] = curve.survey_name;
    out["invented"] = curve.invented;
    out["plan"] = curve.plan_file;
    out["conventions"] =
        "x north, y east, z down, e^{+i omega t}; complex numbers are [real, imaginary]; no noise";
    out["stations"] = nlohmann::ordered_json::array();
    for (const StationCurve& s : curve.stations) {
        nlohmann::ordered_json station{{"station", s.station},
                                       {"site", s.site},
                                       {"offset_m", s.offset_m},
                                       {"bearing_deg", s.bearing_deg},
                                       {"points", nlohmann::ordered_json::array()}};
        for (const CurvePoint& p : s.points)
            station["points"].push_back({{"frequency_hz", p.frequency_hz},
                                         {"z_xx_ohm", pair_of(p.impedance.xx_ohm)},
                                         {"z_xy_ohm", pair_of(p.impedance.xy_ohm)},
                                         {"z_yx_ohm", pair_of(p.impedance.yx_ohm)},
                                         {"z_yy_ohm", pair_of(p.impedance.yy_ohm)},
                                         {"tipper_x", pair_of(p.tipper_x)},
                                         {"tipper_y", pair_of(p.tipper_y)},
                                         {"rho_xy_ohm_m", p.xy.apparent_resistivity_ohm_m},
                                         {"phase_xy_deg", p.xy.phase_deg},
                                         {"rho_yx_ohm_m", p.yx.apparent_resistivity_ohm_m},
                                         {"phase_yx_deg", p.yx.phase_deg},
                                         {"plane_z_ohm", pair_of(p.plane_impedance_ohm)},
                                         {"plane_rho_ohm_m", p.plane_resistivity_ohm_m},
                                         {"plane_phase_deg", p.plane_phase_deg},
                                         {"offset_over_skin_depth", p.offset_over_skin_depth},
                                         {"zone", name_of(p.zone)}});
        out["stations"].push_back(std::move(station));
    }
    return base::json_text(out, 1);
}

}  // namespace ampturn::curve
