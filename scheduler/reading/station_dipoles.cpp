#include "scheduler/reading/station_dipoles.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/reading/station_points.hpp"
#include "scheduler/setup/refused_value.hpp"

namespace ampturn::reading {
namespace {

using model::loop::LoopSelection;

constexpr std::size_t ways = 3;  // north, east, down
constexpr std::size_t numbers_a_dipole = 10;

std::vector<double> heights_m(const model::transmitter::TransmitterDesign& transmitter) {
    const double a_m = transmitter.loop_a.centre_height_m, b_m = transmitter.loop_b->centre_height_m;
    return a_m == b_m ? std::vector{a_m} : std::vector{a_m, b_m};
}

std::vector<model::fields::Receiver> points_of(const plan::Plan& plan) {
    std::vector<model::fields::Receiver> points;
    for (const plan::Station& station : plan.stations) add_points(plan, station, 0, points);
    return points;
}

GroundOfStation ground_in(const setup::SweepSetup& setup) {
    return [&](const plan::Station& station) -> const auto& { return setup.ground_of(station); };
}

void write(const FieldPerMoment& field, double* out) {
    const model::ground::HorizontalFields& f = field.horizontal;
    for (const std::complex<double> part :
         {f.ex_v_per_m, f.ey_v_per_m, f.hx_a_per_m, f.hy_a_per_m, field.hz_a_per_m}) {
        *out++ = part.real();
        *out++ = part.imag();
    }
}

/// The field of a moment, from those of the three unit moments.
FieldPerMoment sum_of(const double* fields, const std::array<double, ways>& moment) {
    std::array<std::complex<double>, numbers_a_dipole / 2> part{};
    for (std::size_t way = 0; way < ways; ++way, fields += numbers_a_dipole)
        for (std::size_t i = 0; i < part.size(); ++i)
            part[i] += std::complex(moment[way] * fields[2 * i], moment[way] * fields[2 * i + 1]);
    return {.horizontal = {.ex_v_per_m = part[0],
                           .ey_v_per_m = part[1],
                           .hx_a_per_m = part[2],
                           .hy_a_per_m = part[3]},
            .hz_a_per_m = part[4]};
}

/// The loop's normal: as placed_vertices() leans it.
std::array<double, ways> unit_moment(const model::loop::LoopDesign& design, double azimuth_deg) {
    const double azimuth = azimuth_deg * model::pi / 180, tilt = design.tilt_deg * model::pi / 180;
    return {std::cos(azimuth) * std::cos(tilt), std::sin(azimuth) * std::cos(tilt), std::sin(tilt)};
}

}  // namespace

std::vector<std::vector<double>> dipole_fields(const plan::Plan& plan, const setup::SweepSetup& setup,
                                               std::span<const double> frequencies_hz, double tolerance_rel,
                                               unsigned threads) {
    std::vector<model::fields::Source> sources;
    for (const double height_m : heights_m(setup.transmitter.design))
        for (std::size_t way = 0; way < ways; ++way) {
            model::fields::Dipole dipole{.moment_a_m2 = {0, 0, 0}, .height_m = height_m};
            dipole.moment_a_m2[way] = 1;
            sources.emplace_back(dipole);
        }
    const std::vector<OneGround> grounds = stations_by_ground(plan, points_of(plan), ground_in(setup));
    const std::size_t a_station = sources.size() * numbers_a_dipole;
    std::vector<std::vector<double>> out(frequencies_hz.size());
    try {
        base::parallel_for(frequencies_hz.size(), threads, [&](std::size_t f) {
            out[f].resize(plan.stations.size() * a_station);
            for (const OneGround& one : grounds) {
                const auto fields = fields_over(sources, one, frequencies_hz[f], tolerance_rel);
                for (std::size_t i = 0; i < one.stations.size(); ++i)
                    for (std::size_t source = 0; source < sources.size(); ++source)
                        write(
                            along_dipoles(
                                std::span(fields[source]).subspan(points_a_station * i, points_a_station), 0),
                            &out[f][one.stations[i] * a_station + source * numbers_a_dipole]);
            }
        });
    } catch (const model::RangeError& refused) {
        throw setup::refused_value(plan, refused);
    }
    return out;
}

std::vector<FrequencyResponse> loops_of_dipoles(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                std::span<const double> frequencies_hz,
                                                std::span<const std::vector<double>> fields) {
    const model::transmitter::TransmitterDesign& transmitter = setup.transmitter.design;
    const std::size_t places = heights_m(transmitter).size(), stations = plan.stations.size();
    const std::size_t a_station = places * ways * numbers_a_dipole;
    const std::size_t b_at = (places - 1) * ways * numbers_a_dipole;
    std::vector<std::array<double, ways>> moments_a, moments_b;
    for (const plan::Station& station : plan.stations) {
        const auto azimuth_deg = [&](LoopSelection loop) {
            return plan.loop_azimuth_deg(loop, station.site_index);
        };
        moments_a.push_back(unit_moment(transmitter.loop_a, azimuth_deg(LoopSelection::a)));
        moments_b.push_back(unit_moment(*transmitter.loop_b, azimuth_deg(LoopSelection::b)));
    }
    std::vector<FrequencyResponse> out(frequencies_hz.size());
    for (std::size_t f = 0; f < out.size(); ++f) {
        FrequencyResponse& response = out[f];
        response.frequency_hz = frequencies_hz[f];
        response.resize(stations);
        const double* at = fields[f].data();
        for (std::size_t s = 0; s < stations; ++s, at += a_station) {
            response.loop_a[s] = sum_of(at, moments_a[s]);
            response.loop_b[s] = sum_of(at + b_at, moments_b[s]);
        }
    }
    return out;
}

std::vector<FrequencyResponse> responses_of_dipoles(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                    std::span<const double> frequencies_hz,
                                                    std::span<const std::vector<double>> fields) {
    std::vector<FrequencyResponse> out = loops_of_dipoles(plan, setup, frequencies_hz, fields);
    std::vector<OneGround> grounds = stations_by_ground(plan, points_of(plan), ground_in(setup));
    hear_background(plan, grounds);
    for (FrequencyResponse& response : out)
        for (const OneGround& one : grounds) add_plane_wave_and_background(plan, one, response);
    return out;
}

}  // namespace ampturn::reading
