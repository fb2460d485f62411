#include "scheduler/plan/station_response.hpp"

#include <cmath>
#include <stdexcept>

#include "model/constants.hpp"
#include "model/fields.hpp"
#include "model/loop.hpp"
#include "model/plane_wave.hpp"
#include "scheduler/plan/parallel_for.hpp"
#include "scheduler/plan/rig_of_plan.hpp"

namespace ampturn::plan {
namespace {

/// The loop as the field engine takes it, of unit moment, centred above the origin.
model::Loop unit_loop(model::LoopDesign design, double azimuth_deg) {
    design.normal_azimuth_deg = azimuth_deg;
    if (design.outline.is_circle()) {
        // A polygon of equal area: the field at a distance follows the area.
        constexpr int corners = 60;
        const double area_m2 = design.outline.area_m2();
        design.outline = model::regular_polygon_outline(
            corners, std::sqrt(4 * area_m2 * std::tan(model::pi / corners) / corners));
    }
    model::Loop loop;
    for (const model::LoopPoint& p : model::placed_vertices(design))
        loop.vertices_xyz_m.push_back({p.x_m, p.y_m, p.z_m});
    loop.turns = 1;
    loop.current_a = 1 / design.outline.area_m2();
    return loop;
}

UnitField unit_field(const model::Fields& f) {
    return {.horizontal = {.ex_v_per_m = f.ex_v_per_m,
                           .ey_v_per_m = f.ey_v_per_m,
                           .hx_a_per_m = f.hx_a_per_m,
                           .hy_a_per_m = f.hy_a_per_m},
            .hz_a_per_m = f.hz_a_per_m};
}

/// One stand's loops and the stations that listen to it.
struct StandJob {
    std::vector<model::Source> sources;
    std::vector<model::Receiver> receivers;
    std::vector<std::size_t> station_indices;
};

std::vector<StandJob> jobs_of(const Plan& plan) {
    const model::RigDesign rig = rig_design_of(plan);
    std::vector<StandJob> jobs(plan.stands.size());
    for (std::size_t i = 0; i < jobs.size(); ++i) {
        const int stand = static_cast<int>(i);
        jobs[i].sources = {unit_loop(rig.loop_a, plan.loop_azimuth_deg(Side::a, stand)),
                           unit_loop(*rig.loop_b, plan.loop_azimuth_deg(Side::b, stand))};
    }
    for (std::size_t s = 0; s < plan.stations.size(); ++s) {
        const Station& station = plan.stations[s];
        const double bearing = station.bearing_deg * model::pi / 180;
        StandJob& job = jobs[static_cast<std::size_t>(station.stand_index)];
        job.receivers.push_back({station.offset_m * std::cos(bearing), station.offset_m * std::sin(bearing)});
        job.station_indices.push_back(s);
    }
    return jobs;
}

}  // namespace

std::vector<FrequencyResponse> station_responses(const Plan& plan, const model::LayeredEarth& earth,
                                                 const std::vector<double>& frequencies_hz,
                                                 unsigned threads) {
    const std::vector<StandJob> jobs = jobs_of(plan);
    std::vector<FrequencyResponse> out(frequencies_hz.size());
    const auto one = [&](std::size_t i) {
        FrequencyResponse& response = out[i];
        response.frequency_hz = frequencies_hz[i];
        response.plane_impedance_ohm = model::plane_wave_impedance_ohm(earth, frequencies_hz[i]);
        response.loop_a.resize(plan.stations.size());
        response.loop_b.resize(plan.stations.size());
        for (const StandJob& job : jobs) {
            if (job.receivers.empty()) continue;
            const auto fields = model::fields(earth, frequencies_hz[i], job.sources, job.receivers);
            for (std::size_t k = 0; k < job.station_indices.size(); ++k) {
                response.loop_a[job.station_indices[k]] = unit_field(fields[0][k].fields);
                response.loop_b[job.station_indices[k]] = unit_field(fields[1][k].fields);
            }
        }
    };
    try {
        // Each frequency is computed whole by one thread, so the thread count cannot show in the result.
        parallel_for(frequencies_hz.size(), threads, one);
    } catch (const std::invalid_argument& refused) {
        throw plan.error("station", refused.what(), "a place the field engine can compute");
    }
    return out;
}

}  // namespace ampturn::plan
