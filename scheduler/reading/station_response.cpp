#include "scheduler/reading/station_response.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/fields/loop_dipoles.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/refused_value.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::reading {
namespace {

/// The loop as the field engine takes it, of unit moment, centred above the origin.
model::fields::Loop unit_loop(model::loop::LoopDesign design, double azimuth_deg) {
    design.normal_azimuth_deg = azimuth_deg;
    if (design.outline.is_circle()) {
        // A polygon of equal area: the field at a distance follows the area.
        constexpr int corners = 60;
        const double area_m2 = design.outline.area_m2();
        design.outline = model::loop::regular_polygon_outline(
            corners, std::sqrt(4 * area_m2 * std::tan(model::pi / corners) / corners));
    }
    model::fields::Loop loop;
    for (const model::loop::LoopPoint& p : model::loop::placed_vertices(design))
        loop.vertices_xyz_m.push_back({p.x_m, p.y_m, p.z_m});
    loop.turns = 1;
    loop.current_a = 1 / design.outline.area_m2();
    return loop;
}

/// Over layered ground a loop turned by an angle has its field turned by that angle. So all sites share one
/// loop A, pointing north, and as many loops B as there are angles between the two; each station is turned
/// with its site's loop A, and its fields are turned back.
struct SharedLoops {
    std::vector<model::fields::Source> sources;  // A, then B at each angle
    std::vector<model::fields::Receiver> receivers;
    std::vector<std::size_t> source_b;  // of each station
    std::vector<double> turned_rad;
};

SharedLoops shared_loops(const plan::Plan& plan, const model::transmitter::TransmitterDesign& transmitter,
                         bool as_dipoles) {
    const auto source = [&](const model::loop::LoopDesign& design,
                            double azimuth_deg) -> model::fields::Source {
        const model::fields::Loop loop = unit_loop(design, azimuth_deg);
        if (as_dipoles) return model::fields::loop_as_dipole(loop);
        return loop;
    };
    SharedLoops out;
    out.sources.push_back(source(transmitter.loop_a, 0));
    std::vector<double> angles_deg;
    for (const plan::Station& station : plan.stations) {
        const double a_deg = plan.loop_azimuth_deg(model::loop::LoopSelection::a, station.site_index);
        const double between_deg =
            plan.loop_azimuth_deg(model::loop::LoopSelection::b, station.site_index) - a_deg;
        const auto known = std::find(angles_deg.begin(), angles_deg.end(), between_deg);
        out.source_b.push_back(1 + static_cast<std::size_t>(known - angles_deg.begin()));
        if (known == angles_deg.end()) {
            angles_deg.push_back(between_deg);
            out.sources.push_back(source(*transmitter.loop_b, between_deg));
        }
        const double bearing = (station.bearing_deg - a_deg) * model::pi / 180;
        out.receivers.push_back({station.offset_m * std::cos(bearing), station.offset_m * std::sin(bearing)});
        out.turned_rad.push_back(a_deg * model::pi / 180);
    }
    return out;
}

FieldPerMoment turned_back(const model::fields::Fields& f, double angle_rad) {
    const double c = std::cos(angle_rad), s = std::sin(angle_rad);
    return {.horizontal = {.ex_v_per_m = c * f.ex_v_per_m - s * f.ey_v_per_m,
                           .ey_v_per_m = s * f.ex_v_per_m + c * f.ey_v_per_m,
                           .hx_a_per_m = c * f.hx_a_per_m - s * f.hy_a_per_m,
                           .hy_a_per_m = s * f.hx_a_per_m + c * f.hy_a_per_m},
            .hz_a_per_m = f.hz_a_per_m};
}

}  // namespace

ReadingInput reading_input(const plan::Plan& plan, const FrequencyResponse& response,
                           std::size_t station_index, const Transmission& sent_a, const Transmission& sent_b,
                           const model::receiver::NoiseAt& noise) {
    return {.frequency_hz = response.frequency_hz,
            .a = response.loop_a[station_index],
            .b = response.loop_b[station_index],
            .sent_a = sent_a,
            .sent_b = sent_b,
            .noise = noise,
            .window_enbw_bins = setup::noise_bandwidth_bins(plan.receiver.window),
            .plane_impedance_ohm = response.plane_impedance_ohm,
            .offset_m = plan.stations[station_index].offset_m};
}

std::vector<FrequencyResponse> station_responses(const plan::Plan& plan, const setup::SurveySetup& setup,
                                                 unsigned threads, const FieldDetail& detail) {
    return station_responses(plan, setup.transmitter.design, setup.earth, setup.frequencies_hz, threads,
                             detail);
}

std::vector<FrequencyResponse> station_responses(const plan::Plan& plan,
                                                 const model::transmitter::TransmitterDesign& transmitter,
                                                 const model::ground::LayeredEarth& earth,
                                                 const std::vector<double>& frequencies_hz, unsigned threads,
                                                 const FieldDetail& detail) {
    const SharedLoops loops = shared_loops(plan, transmitter, detail.loops_as_dipoles);
    std::vector<FrequencyResponse> out(frequencies_hz.size());
    // Each frequency is computed whole by one thread, so the thread count cannot show in the result.
    const auto one = [&](std::size_t i) {
        FrequencyResponse& response = out[i];
        response.frequency_hz = frequencies_hz[i];
        response.plane_impedance_ohm = model::ground::plane_wave_impedance_ohm(earth, frequencies_hz[i]);
        const auto fields = model::fields::fields_at(earth, frequencies_hz[i], loops.sources, loops.receivers,
                                                     {.tolerance_rel = detail.tolerance_rel});
        for (std::size_t s = 0; s < plan.stations.size(); ++s) {
            response.loop_a.push_back(turned_back(fields[0][s].fields, loops.turned_rad[s]));
            response.loop_b.push_back(turned_back(fields[loops.source_b[s]][s].fields, loops.turned_rad[s]));
        }
    };
    try {
        base::parallel_for(frequencies_hz.size(), threads, one);
    } catch (const model::RangeError& refused) {
        throw setup::refused_value(plan, refused);
    }
    return out;
}

double largest_difference_rel(const std::vector<FrequencyResponse>& a,
                              const std::vector<FrequencyResponse>& b) {
    double worst = 0;
    const auto compare = [&](std::initializer_list<std::complex<double> > one,
                             std::initializer_list<std::complex<double> > other) {
        double difference = 0, size = 0;
        for (auto x = one.begin(), y = other.begin(); x != one.end(); ++x, ++y) {
            difference = std::max(difference, std::abs(*x - *y));
            size = std::max(size, std::abs(*x));
        }
        if (difference > 0) worst = std::max(worst, difference / size);
    };
    for (std::size_t f = 0; f < a.size(); ++f)
        for (const auto loop : {&FrequencyResponse::loop_a, &FrequencyResponse::loop_b})
            for (std::size_t s = 0; s < (a[f].*loop).size(); ++s) {
                const FieldPerMoment &x = (a[f].*loop)[s], &y = (b[f].*loop)[s];
                compare({x.horizontal.ex_v_per_m, x.horizontal.ey_v_per_m},
                        {y.horizontal.ex_v_per_m, y.horizontal.ey_v_per_m});
                compare({x.horizontal.hx_a_per_m, x.horizontal.hy_a_per_m, x.hz_a_per_m},
                        {y.horizontal.hx_a_per_m, y.horizontal.hy_a_per_m, y.hz_a_per_m});
            }
    return worst;
}

}  // namespace ampturn::reading
