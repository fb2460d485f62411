#include "scheduler/rehearse/station/invert.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/inversion/inversion.hpp"
#include "model/inversion/layer_choice.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::rehearse::station {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int smooth_layers = 22;
constexpr int layers_max = 5;  // of the few-layer inversion
constexpr double permittivity = 10;

model::fields::Dipole dipole_of(const model::loop::LoopDesign& loop, double azimuth_deg) {
    const double azimuth = azimuth_deg * model::pi / 180, tilt = loop.tilt_deg * model::pi / 180;
    return {.moment_a_m2 = {std::cos(tilt) * std::cos(azimuth), std::cos(tilt) * std::sin(azimuth),
                            std::sin(tilt)},
            .height_m = loop.centre_height_m};
}

struct CurveData {
    std::vector<double> frequencies_hz;
    model::inversion::InversionData xy, both;
};

CurveData data_of(const std::vector<StationFrequencyResult>& measured) {
    std::vector<const StationFrequencyResult*> usable;
    for (const StationFrequencyResult& m : measured)
        if (m.measured && m.xy.jackknife.resistivity_percent < 50 && m.yx.jackknife.resistivity_percent < 50)
            usable.push_back(&m);
    const auto count = static_cast<Eigen::Index>(usable.size());
    CurveData data{.frequencies_hz = {},
                   .xy = {VectorXd(2 * count), VectorXd(2 * count)},
                   .both = {VectorXd(4 * count), VectorXd(4 * count)}};
    for (Eigen::Index i = 0; i < count; ++i) {
        const StationFrequencyResult& m = *usable[static_cast<std::size_t>(i)];
        data.frequencies_hz.push_back(m.frequency_hz);
        const auto put = [](model::inversion::InversionData& into, Eigen::Index at, const CurvePoint& p) {
            into.value[at] = std::log(p.resistivity_ohm_m);
            into.value[at + 1] = p.phase_deg * model::pi / 180;
            const Bars bars = with_sensors(p.jackknife, p.sensors);
            into.sd[at] = std::hypot(bars.resistivity_percent / 100, forward_error);
            into.sd[at + 1] = std::hypot(bars.phase_deg * model::pi / 180, forward_error / 2);
        };
        put(data.xy, 2 * i, m.xy);
        put(data.both, 4 * i, m.xy);
        put(data.both, 4 * i + 2, m.yx);
    }
    return data;
}

/// What finite loops add to dipoles, on a uniform ground.
VectorXd finite_loop_correction(const plan::Plan& plan,
                                const model::transmitter::TransmitterDesign& transmitter, int station_index,
                                const model::ground::LayeredEarth& ground,
                                const std::vector<double>& frequencies_hz,
                                const model::inversion::DipolePair& dipoles) {
    plan::Plan alone = plan;
    alone.stations = {plan.stations[static_cast<std::size_t>(station_index)]};
    const auto responses = reading::station_responses(alone, transmitter, ground, frequencies_hz);
    const VectorXd of_dipoles =
        model::inversion::source_forward(frequencies_hz, ground, model::inversion::Unknowns::resistivities,
                                         dipoles)(
            model::inversion::parameters_of(ground, model::inversion::Unknowns::resistivities), false)
            .value;
    VectorXd correction = -of_dipoles;
    for (std::size_t f = 0; f < responses.size(); ++f) {
        const model::ground::ImpedanceTensor z =
            reading::read_tensor(reading::reading_input(alone, responses[f], 0, {}, {}, {}))
                .uncorrelated.impedance;
        const auto at = static_cast<Eigen::Index>(4 * f);
        const double omega_mu = 2 * model::pi * frequencies_hz[f] * model::mu0_h_per_m;
        correction[at] += std::log(std::norm(z.xy_ohm) / omega_mu);
        correction[at + 1] += std::arg(z.xy_ohm);
        correction[at + 2] += std::log(std::norm(z.yx_ohm) / omega_mu);
        correction[at + 3] += std::arg(-z.yx_ohm);
    }
    return correction;
}

void add_fit(const model::inversion::InversionResult& result, bool both, Section& section) {
    const Eigen::Index stride = both ? 4 : 2;
    for (Eigen::Index i = 0; i < result.response.size(); i += stride) {
        section.fit_resistivity_ohm_m.push_back(std::exp(result.response[i]));
        section.fit_phase_deg.push_back(result.response[i + 1] * 180 / model::pi);
    }
}

void add_layers(const model::ground::LayeredEarth& earth, const model::inversion::InversionResult& result,
                Section& section) {
    const VectorXd tops = model::inversion::layer_tops_m(earth);
    for (Eigen::Index j = 0; j < tops.size(); ++j)
        section.layers.push_back(
            {.top_m = tops[j],
             .resistivity_ohm_m = earth[static_cast<std::size_t>(j)].resistivity_ohm_m,
             .sd_decades = result.resolution(j, j) > 1e-6
                               ? std::sqrt(std::max(0.0, result.covariance(j, j))) / std::numbers::ln10
                               : std::numeric_limits<double>::quiet_NaN()});
    section.misfit_rms = result.misfit_rms;
    section.reached_target = result.reached_target;
    section.iterations = result.iterations;
    section.parameters_resolved = result.resolution.trace();
}

Section smooth_section(const char* name, bool aware, const model::inversion::InversionData& data,
                       const model::inversion::Forward& forward, const model::ground::LayeredEarth& layering,
                       model::ground::LayeredEarth& found) {
    const auto unknowns = model::inversion::Unknowns::resistivities;
    const model::inversion::InversionResult result =
        model::inversion::invert_smooth(data, forward, model::inversion::parameters_of(layering, unknowns));
    found = model::inversion::earth_with(layering, unknowns, result.parameters);
    Section section{.name = name, .source_aware = aware, .smooth = true};
    add_layers(found, result, section);
    add_fit(result, aware, section);
    section.depth_of_investigation_m = model::inversion::depth_of_investigation_m(
        data, result.jacobian, model::inversion::layer_tops_m(layering));
    return section;
}

Section few_section(
    const char* name, bool aware, const model::inversion::InversionData& data,
    const model::ground::LayeredEarth& smooth,
    const std::function<model::inversion::Forward(const model::ground::LayeredEarth&)>& forward_over) {
    const model::inversion::LayerChoice choice =
        model::inversion::choose_layers(data, smooth, forward_over, layers_max);
    const model::inversion::InversionResult& result = choice.result;
    const model::ground::LayeredEarth& found = choice.found;
    Section section{.name = name, .source_aware = aware, .smooth = false};
    section.layer_trials = choice.trials;
    add_layers(found, result, section);
    add_fit(result, aware, section);
    // Depth of each interface: the sum of the thicknesses above it, errors through their covariance.
    const auto count = static_cast<Eigen::Index>(found.size());
    VectorXd slope = VectorXd::Zero(result.parameters.size());
    double depth = 0;
    for (Eigen::Index j = 0; j + 1 < count; ++j) {
        const double thickness = found[static_cast<std::size_t>(j)].thickness_m;
        depth += thickness;
        slope[count + j] = thickness;
        section.interface_m.push_back(depth);
        section.interface_sd_m.push_back(std::sqrt(std::max(0.0, slope.dot(result.covariance * slope))));
    }
    return section;
}

}  // namespace

model::inversion::DipolePair dipoles_of(const plan::Plan& plan,
                                        const model::transmitter::TransmitterDesign& transmitter,
                                        int station_index) {
    const plan::Station& station = plan.stations[static_cast<std::size_t>(station_index)];
    const double bearing = station.bearing_deg * model::pi / 180;
    return {.a = dipole_of(transmitter.loop_a,
                           plan.loop_azimuth_deg(model::loop::LoopSelection::a, station.site_index)),
            .b = dipole_of(*transmitter.loop_b,
                           plan.loop_azimuth_deg(model::loop::LoopSelection::b, station.site_index)),
            .receiver_x_m = station.offset_m * std::cos(bearing),
            .receiver_y_m = station.offset_m * std::sin(bearing)};
}

std::vector<SectionLayer> section_of(const model::ground::LayeredEarth& earth) {
    std::vector<SectionLayer> section;
    double top = 0;
    for (const model::ground::Layer& layer : earth.layers()) {
        section.push_back({.top_m = top, .resistivity_ohm_m = layer.resistivity_ohm_m, .sd_decades = 0});
        top += layer.thickness_m;
    }
    return section;
}

StationInversion invert_station(const plan::Plan& plan,
                                const model::transmitter::TransmitterDesign& transmitter, int station_index,
                                const std::vector<StationFrequencyResult>& measured) {
    const CurveData data = data_of(measured);
    StationInversion out{.frequencies_hz = data.frequencies_hz, .sections = {}, .note = {}};
    if (data.frequencies_hz.size() < 3) {
        out.note = "fewer than three frequencies with error bars below 50 %: no inversion";
        return out;
    }
    double mean_ln_rho = 0, shallow = HUGE_VAL, deep = 0;
    for (std::size_t i = 0; i < data.frequencies_hz.size(); ++i) {
        const double ln_rho = data.both.value[static_cast<Eigen::Index>(4 * i)];
        mean_ln_rho += ln_rho / static_cast<double>(data.frequencies_hz.size());
        const double skin = model::skin_depth_m(std::exp(ln_rho), data.frequencies_hz[i]);
        shallow = std::min(shallow, skin);
        deep = std::max(deep, skin);
    }
    const double start_rho = std::clamp(std::exp(mean_ln_rho), 1.0, 1e5);
    const model::ground::LayeredEarth layering = model::inversion::smooth_layering(
        shallow / 6, std::max(2 * deep, shallow), smooth_layers, start_rho, permittivity);
    const model::inversion::DipolePair dipoles = dipoles_of(plan, transmitter, station_index);
    const model::ground::LayeredEarth uniform(
        {model::ground::Layer{.resistivity_ohm_m = start_rho, .relative_permittivity = permittivity}});
    const VectorXd correction =
        finite_loop_correction(plan, transmitter, station_index, uniform, data.frequencies_hz, dipoles);
    const auto smooth = model::inversion::Unknowns::resistivities;
    const auto few = model::inversion::Unknowns::resistivities_and_thicknesses;

    model::ground::LayeredEarth found = layering;
    out.sections.push_back(smooth_section(
        "smooth, plane wave", false, data.xy,
        model::inversion::plane_wave_forward(data.frequencies_hz, layering, smooth), layering, found));
    out.sections.push_back(few_section(
        "few layers, plane wave", false, data.xy, found, [&](const model::ground::LayeredEarth& start) {
            return model::inversion::plane_wave_forward(data.frequencies_hz, start, few);
        }));
    out.sections.push_back(smooth_section(
        "smooth, true source", true, data.both,
        model::inversion::source_forward(data.frequencies_hz, layering, smooth, dipoles, correction),
        layering, found));
    out.sections.push_back(few_section(
        "few layers, true source", true, data.both, found, [&](const model::ground::LayeredEarth& start) {
            return model::inversion::source_forward(data.frequencies_hz, start, few, dipoles, correction);
        }));
    return out;
}

}  // namespace ampturn::rehearse::station
