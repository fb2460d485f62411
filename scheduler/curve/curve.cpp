#include "scheduler/curve/curve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <nlohmann/json.hpp>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::plan {

namespace {

using Complex = std::complex<double>;

/// Hz = tx Hx + ty Hy solved for both loops.
void add_tipper(const FieldPerMoment& a, const FieldPerMoment& b, CurvePoint& point) {
    const Complex determinant =
        a.horizontal.hx_a_per_m * b.horizontal.hy_a_per_m - b.horizontal.hx_a_per_m * a.horizontal.hy_a_per_m;
    point.tipper_x =
        (a.hz_a_per_m * b.horizontal.hy_a_per_m - b.hz_a_per_m * a.horizontal.hy_a_per_m) / determinant;
    point.tipper_y =
        (b.hz_a_per_m * a.horizontal.hx_a_per_m - a.hz_a_per_m * b.horizontal.hx_a_per_m) / determinant;
}

CurvePoint point_of(const FrequencyResponse& response, std::size_t station_index, const Plan& plan) {
    const TensorReading reading = read_tensor(reading_input(plan, response, station_index, {}, {}, {}));
    CurvePoint point{};
    point.frequency_hz = response.frequency_hz;
    point.impedance = reading.uncorrelated.impedance;
    add_tipper(response.loop_a[station_index], response.loop_b[station_index], point);
    point.xy = reading.xy();
    point.yx = reading.yx();
    point.plane_impedance_ohm = response.plane_impedance_ohm;
    point.plane_resistivity_ohm_m =
        model::apparent_resistivity_ohm_m(point.plane_impedance_ohm, point.frequency_hz);
    point.plane_phase_deg = model::impedance_phase_deg(point.plane_impedance_ohm);
    point.bias_xy = reading.bias_xy();
    point.bias_yx = reading.bias_yx();
    point.zone = std::max(zone_of(point.bias_xy, plan.targets), zone_of(point.bias_yx, plan.targets));
    point.offset_over_skin_depth = plan.stations[station_index].offset_m /
                                   model::skin_depth_m(point.plane_resistivity_ohm_m, point.frequency_hz);
    return point;
}

nlohmann::ordered_json pair_of(Complex z) { return nlohmann::ordered_json::array({z.real(), z.imag()}); }

}  // namespace

std::string zone_word(model::Zone zone) {
    switch (zone) {
        case model::Zone::plane:
            return "plane";
        case model::Zone::transition:
            return "transition";
        case model::Zone::near:
            return "near";
    }
    return "";
}

Curve curve_of(const Plan& plan, unsigned threads) {
    const SurveySetup setup = survey_setup_of(plan);
    std::vector<double> frequencies = setup.frequencies_hz;
    std::sort(frequencies.begin(), frequencies.end(), std::greater<>());
    const std::vector<FrequencyResponse> responses =
        station_responses(plan, setup.rig.design, setup.earth, frequencies, threads);
    Curve curve{.survey_name = plan.survey.name,
                .invented = plan.survey.invented,
                .date = plan.survey.date,
                .plan_file = plan.source.path,
                .stations = {}};
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const Station& station = plan.stations[s];
        StationCurve& out =
            curve.stations.emplace_back(StationCurve{.station = station.name,
                                                     .stand = station.stand,
                                                     .offset_m = station.offset_m,
                                                     .bearing_deg = station.bearing_deg,
                                                     .x_m = station.place.x_m,
                                                     .y_m = station.place.y_m,
                                                     .latitude_deg = station.place.latitude_deg,
                                                     .longitude_deg = station.place.longitude_deg,
                                                     .points = {}});
        for (const FrequencyResponse& response : responses) out.points.push_back(point_of(response, s, plan));
    }
    return curve;
}

std::string curve_csv(const Curve& curve) {
    CsvTable table({"station",
                    "stand",
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
            table.cell(s.station).cell(s.stand).cell(s.offset_m).cell(s.bearing_deg).cell(p.frequency_hz);
            table.cell(p.xy.apparent_resistivity_ohm_m).cell(p.xy.phase_deg);
            table.cell(p.yx.apparent_resistivity_ohm_m).cell(p.yx.phase_deg);
            table.cell(p.plane_resistivity_ohm_m).cell(p.plane_phase_deg);
            table.cell(100 * p.bias_xy.resistivity_rel).cell(p.bias_xy.phase_deg);
            table.cell(100 * p.bias_yx.resistivity_rel).cell(p.bias_yx.phase_deg);
            table.cell(p.tipper_x.real()).cell(p.tipper_x.imag());
            table.cell(p.tipper_y.real()).cell(p.tipper_y.imag());
            table.cell(p.offset_over_skin_depth).cell(zone_word(p.zone)).end_row();
        }
    return table.text();
}

std::string curve_json_text(const Curve& curve) {
    nlohmann::ordered_json out;
    out["generator"] = fmt::format("ampturn {} ({})", version(), git_hash());
    out["survey"] = curve.survey_name;
    out["invented"] = curve.invented;
    out["plan"] = curve.plan_file;
    out["conventions"] =
        "x north, y east, z down, e^{+i omega t}; complex numbers are [real, imaginary]; no noise";
    out["stations"] = nlohmann::ordered_json::array();
    for (const StationCurve& s : curve.stations) {
        nlohmann::ordered_json station{{"station", s.station},
                                       {"stand", s.stand},
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
                                         {"zone", zone_word(p.zone)}});
        out["stations"].push_back(std::move(station));
    }
    return out.dump(1) + "\n";
}

}  // namespace ampturn::plan
