#include "scheduler/reading/station_points.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/plan/station_own.hpp"

namespace ampturn::reading {
namespace {

constexpr double gauss_node = 0.7745966692414834;  // sqrt(3/5)

FieldPerMoment turned_back(const model::fields::Fields& f, double angle_rad) {
    const double c = std::cos(angle_rad), s = std::sin(angle_rad);
    return {.horizontal = {.ex_v_per_m = c * f.ex_v_per_m - s * f.ey_v_per_m,
                           .ey_v_per_m = s * f.ex_v_per_m + c * f.ey_v_per_m,
                           .hx_a_per_m = c * f.hx_a_per_m - s * f.hy_a_per_m,
                           .hy_a_per_m = s * f.hx_a_per_m + c * f.hy_a_per_m},
            .hz_a_per_m = f.hz_a_per_m};
}

}  // namespace

void add_points(const plan::Plan& plan, const plan::Station& station, double turned_deg,
                std::vector<model::fields::Receiver>& points) {
    const double bearing = (station.bearing_deg - turned_deg) * model::pi / 180;
    const double turned_rad = turned_deg * model::pi / 180;
    const double along_m = station.offset_m * std::cos(bearing),
                 across_m = station.offset_m * std::sin(bearing);
    points.push_back({along_m, across_m});
    const double dipole_m = plan::receiver_of(plan, station).dipole_m;
    // North and east, seen from there.
    for (const double way_rad : {-turned_rad, model::pi / 2 - turned_rad})
        for (const double end : {-1.0, 1.0}) {
            const double at_m = end * gauss_node * dipole_m / 2;
            points.push_back({along_m + at_m * std::cos(way_rad), across_m + at_m * std::sin(way_rad)});
        }
}

FieldPerMoment along_dipoles(std::span<const model::fields::FieldResult> points, double turned_rad) {
    FieldPerMoment out = turned_back(points[0].fields, turned_rad);
    const auto at = [&](std::size_t i) { return turned_back(points[i].fields, turned_rad).horizontal; };
    constexpr double middle = 8.0 / 18, end = 5.0 / 18;
    out.horizontal.ex_v_per_m =
        middle * out.horizontal.ex_v_per_m + end * (at(1).ex_v_per_m + at(2).ex_v_per_m);
    out.horizontal.ey_v_per_m =
        middle * out.horizontal.ey_v_per_m + end * (at(3).ey_v_per_m + at(4).ey_v_per_m);
    return out;
}

std::vector<OneGround> stations_by_ground(const plan::Plan& plan,
                                          std::span<const model::fields::Receiver> points,
                                          const GroundOfStation& ground_of) {
    std::vector<OneGround> out;
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const model::ground::LayeredEarth& ground = ground_of(plan.stations[s]);
        auto place =
            std::find_if(out.begin(), out.end(), [&](const OneGround& one) { return *one.ground == ground; });
        if (place == out.end()) {
            out.push_back({&ground, {}, {}, {}});
            place = out.end() - 1;
        }
        place->stations.push_back(s);
        const auto own = points.subspan(points_a_station * s, points_a_station);
        place->receivers.insert(place->receivers.end(), own.begin(), own.end());
    }
    return out;
}

void hear_background(const plan::Plan& plan, std::span<OneGround> grounds) {
    for (OneGround& one : grounds) one.background = setup::background_crest(plan, *one.ground);
}

std::vector<std::vector<model::fields::FieldResult>> fields_over(
    std::span<const model::fields::Source> sources, const OneGround& one, double frequency_hz,
    double tolerance_rel) {
    try {
        return model::fields::fields_at(*one.ground, frequency_hz, sources, one.receivers,
                                        {.tolerance_rel = tolerance_rel});
    } catch (const model::RangeError& refused) {
        if (!refused.name().starts_with("receiver") || !refused.index()) throw;
        throw refused.at(one.stations[*refused.index() / points_a_station]);
    }
}

void add_plane_wave_and_background(const plan::Plan& plan, const OneGround& one,
                                   FrequencyResponse& response) {
    const std::complex<double> plane_ohm =
        model::ground::plane_wave_impedance_ohm(*one.ground, response.frequency_hz);
    for (const std::size_t s : one.stations) {
        response.plane_impedance_ohm[s] = plane_ohm;
        response.background_crest[s] =
            setup::background_crest_at(plan, plan.stations[s], *one.ground, one.background);
    }
}

}  // namespace ampturn::reading
