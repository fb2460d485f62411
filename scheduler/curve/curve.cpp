#include "scheduler/curve/curve.hpp"

#include <algorithm>
#include <functional>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::curve {

namespace {

using Complex = std::complex<double>;

/// To nine digits of the power of ten of the scale: what cancelled keeps no digits of its own noise.
std::complex<double> without_noise(std::complex<double> z, double scale) {
    const double quantum = cancellation_floor_rel * std::pow(10, std::floor(std::log10(scale)));
    const auto rounded = [&](double x) { return quantum * std::round(x / quantum); };
    return {rounded(z.real()), rounded(z.imag())};
}

model::ground::ImpedanceTensor without_noise(const model::ground::ImpedanceTensor& z) {
    const double scale =
        std::max({std::abs(z.xx_ohm), std::abs(z.xy_ohm), std::abs(z.yx_ohm), std::abs(z.yy_ohm)});
    return {without_noise(z.xx_ohm, scale), without_noise(z.xy_ohm, scale), without_noise(z.yx_ohm, scale),
            without_noise(z.yy_ohm, scale)};
}

/// Hz = tx Hx + ty Hy solved for both loops.
void add_tipper(const reading::FieldPerMoment& a, const reading::FieldPerMoment& b, CurvePoint& point) {
    const model::ground::Tipper tipper =
        model::ground::tipper_of(a.horizontal, a.hz_a_per_m, b.horizontal, b.hz_a_per_m);
    point.tipper_x = without_noise(tipper.x, 1);
    point.tipper_y = without_noise(tipper.y, 1);
}

CurvePoint point_of(const reading::FrequencyResponse& response, std::size_t station_index,
                    const plan::Plan& plan) {
    const reading::TensorReading reading =
        reading::read_tensor(reading::reading_input(plan, response, station_index, {}, {}, {}));
    CurvePoint point{};
    point.frequency_hz = response.frequency_hz;
    point.impedance = without_noise(reading.uncorrelated.impedance);
    add_tipper(response.loop_a[station_index], response.loop_b[station_index], point);
    point.xy = reading.xy();
    point.yx = reading.yx();
    point.plane_impedance_ohm = response.plane_impedance_ohm[station_index];
    point.plane_resistivity_ohm_m =
        model::ground::apparent_resistivity_ohm_m(point.plane_impedance_ohm, point.frequency_hz);
    point.plane_phase_deg = model::ground::impedance_phase_deg(point.plane_impedance_ohm);
    point.bias_xy = reading.bias_xy();
    point.bias_yx = reading.bias_yx();
    point.zone = reading::zone_of(reading::worst_bias(reading, plan.targets), plan.targets);
    point.offset_over_skin_depth = plan.stations[station_index].offset_m /
                                   model::skin_depth_m(point.plane_resistivity_ohm_m, point.frequency_hz);
    return point;
}

}  // namespace

Curve curve_of(const plan::Plan& plan, unsigned threads) {
    const setup::SweepSetup setup = setup::sweep_setup_of(plan);
    std::vector<double> frequencies = setup.frequencies_hz;
    std::sort(frequencies.begin(), frequencies.end(), std::greater<>());
    const std::vector<reading::FrequencyResponse> responses =
        reading::station_responses(plan, setup, frequencies, threads);
    Curve curve{.survey_name = plan.survey.name,
                .invented = plan.survey.invented,
                .date = plan.survey.date,
                .plan_file = plan.source.path,
                .stations = {}};
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const plan::Station& station = plan.stations[s];
        StationCurve& out =
            curve.stations.emplace_back(StationCurve{.station = station.name,
                                                     .site = station.site,
                                                     .dipole_m = plan::receiver_of(plan, station).dipole_m,
                                                     .offset_m = station.offset_m,
                                                     .bearing_deg = station.bearing_deg,
                                                     .x_m = station.place.x_m,
                                                     .y_m = station.place.y_m,
                                                     .latitude_deg = station.place.latitude_deg,
                                                     .longitude_deg = station.place.longitude_deg,
                                                     .points = {}});
        for (const reading::FrequencyResponse& response : responses)
            out.points.push_back(point_of(response, s, plan));
    }
    return curve;
}

}  // namespace ampturn::curve
