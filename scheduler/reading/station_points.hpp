#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::reading {

/// Where the field engine is asked for a station's fields: the middle, two points on the north dipole, two on the east one.
inline constexpr std::size_t points_a_station = 5;

/// A station's points seen from a site whose axes are turned by an angle.
void add_points(const plan::Plan& plan, const plan::Station& station, double turned_deg,
                std::vector<model::fields::Receiver>& points);

/// Fields at a station's points in north and east components; E by the Gauss rule along each dipole.
FieldPerMoment along_dipoles(std::span<const model::fields::FieldResult> points, double turned_rad);

/// Stations over one ground, by their indices: what the engine takes in one go.
struct OneGround {
    const model::ground::LayeredEarth* ground;
    std::vector<std::size_t> stations;
    std::vector<model::fields::Receiver> receivers;  // points_a_station each
    setup::BackgroundCrest background;               // once heard
};

using GroundOfStation = std::function<const model::ground::LayeredEarth&(const plan::Station&)>;

/// Grounds that are alike are one, whatever they are called. `points`: of all stations.
std::vector<OneGround> stations_by_ground(const plan::Plan& plan,
                                          std::span<const model::fields::Receiver> points,
                                          const GroundOfStation& ground_of);

/// What is heard over each ground, which add_plane_wave_and_background() needs.
void hear_background(const plan::Plan& plan, std::span<OneGround> grounds);

/// The engine's fields; a receiver it refuses is told by the index of its station.
std::vector<std::vector<model::fields::FieldResult>> fields_over(
    std::span<const model::fields::Source> sources, const OneGround& one, double frequency_hz,
    double tolerance_rel);

/// What a response has of the ground alone, at the stations over it.
void add_plane_wave_and_background(const plan::Plan& plan, const OneGround& one, FrequencyResponse& response);

}  // namespace ampturn::reading
