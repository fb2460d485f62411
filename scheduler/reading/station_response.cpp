#include "scheduler/reading/station_response.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <span>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"
#include "model/fields/loop_dipoles.hpp"
#include "model/loop/loop.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/reading/station_points.hpp"
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

SharedLoops shared_loops(const plan::Plan& plan, const model::transmitter::TransmitterDesign& transmitter) {
    SharedLoops out;
    out.sources.emplace_back(unit_loop(transmitter.loop_a, 0));
    std::vector<double> angles_deg;
    for (const plan::Station& station : plan.stations) {
        const double a_deg = plan.loop_azimuth_deg(model::loop::LoopSelection::a, station.site_index);
        const double between_deg =
            plan.loop_azimuth_deg(model::loop::LoopSelection::b, station.site_index) - a_deg;
        const auto known = std::find(angles_deg.begin(), angles_deg.end(), between_deg);
        out.source_b.push_back(1 + static_cast<std::size_t>(known - angles_deg.begin()));
        if (known == angles_deg.end()) {
            angles_deg.push_back(between_deg);
            out.sources.emplace_back(unit_loop(*transmitter.loop_b, between_deg));
        }
        add_points(plan, station, a_deg, out.receivers);
        out.turned_rad.push_back(a_deg * model::pi / 180);
    }
    return out;
}

}  // namespace

ReadingInput reading_input(const plan::Plan& plan, const FrequencyResponse& response,
                           std::size_t station_index, const Transmission& sent_a, const Transmission& sent_b,
                           const model::receiver::NoiseAt& noise) {
    const plan::Station& station = plan.stations[station_index];
    ReadingInput input{.frequency_hz = response.frequency_hz,
                       .a = response.loop_a[station_index],
                       .b = response.loop_b[station_index],
                       .sent_a = sent_a,
                       .sent_b = sent_b,
                       .noise = noise,
                       .plane_impedance_ohm = response.plane_impedance_ohm[station_index],
                       .offset_m = station.offset_m};
    const plan::Receiver receiver = plan::receiver_of(plan, station);
    add_receiver(receiver, input);
    if (clips(receiver, response.background_crest[station_index].with_mains(setup::mains_b_t(plan, station)),
              input))
        input.no_record = NoRecord::clipped;
    return input;
}

void add_receiver(const plan::Receiver& receiver, ReadingInput& input) {
    input.window_enbw_bins = setup::noise_bandwidth_bins(receiver.window);
    input.wire_response = setup::wire_response_of(receiver, input.frequency_hz);
    input.sensors = setup::sensor_errors_of(receiver);
}

setup::Crest line_crest(const ReadingInput& input) {
    double h2 = 0, e2 = 0;  // the largest line of a channel, squared
    const auto count = [&](const FieldPerMoment& unit, const Transmission& sent) {
        const double m2 = sent.moment_a_m2_peak * sent.moment_a_m2_peak;
        const model::ground::HorizontalFields& f = unit.horizontal;
        h2 = std::max({h2, m2 * std::norm(f.hx_a_per_m), m2 * std::norm(f.hy_a_per_m)});
        e2 = std::max({e2, m2 * std::norm(f.ex_v_per_m), m2 * std::norm(f.ey_v_per_m)});
    };
    count(input.a, input.sent_a);
    count(input.b, input.sent_b);
    return {.h_a_per_m = std::sqrt(h2), .e_v_per_m = std::sqrt(e2)};
}

bool clips(const plan::Receiver& receiver, const setup::Crest& background, const ReadingInput& input) {
    const setup::Crest line = line_crest(input);
    return line.h_a_per_m + background.h_a_per_m > 1e-9 * receiver.b_full_scale_nt / model::mu0_h_per_m ||
           line.e_v_per_m + background.e_v_per_m > receiver.e_full_scale_v / receiver.dipole_m;
}

namespace {

void add_responses(const plan::Plan& plan, const SharedLoops& loops, const OneGround& one,
                   double tolerance_rel, FrequencyResponse& response) {
    const auto fields = fields_over(loops.sources, one, response.frequency_hz, tolerance_rel);
    for (std::size_t i = 0; i < one.stations.size(); ++i) {
        const std::size_t s = one.stations[i];
        const auto at = [&](std::size_t source) {
            return along_dipoles(std::span(fields[source]).subspan(points_a_station * i, points_a_station),
                                 loops.turned_rad[s]);
        };
        response.loop_a[s] = at(0);
        response.loop_b[s] = at(loops.source_b[s]);
    }
    add_plane_wave_and_background(plan, one, response);
}

std::vector<FrequencyResponse> responses_over(const plan::Plan& plan,
                                              const model::transmitter::TransmitterDesign& transmitter,
                                              const std::vector<double>& frequencies_hz, unsigned threads,
                                              const FieldDetail& detail, const GroundOfStation& ground_of) {
    const SharedLoops loops = shared_loops(plan, transmitter);
    std::vector<OneGround> grounds = stations_by_ground(plan, loops.receivers, ground_of);
    hear_background(plan, grounds);
    const std::size_t count = plan.stations.size();
    std::vector<FrequencyResponse> out(frequencies_hz.size());
    // Each frequency is computed whole by one thread, so the thread count cannot show in the result.
    const auto one = [&](std::size_t i) {
        FrequencyResponse& response = out[i];
        response.frequency_hz = frequencies_hz[i];
        response.resize(count);
        for (const OneGround& ground : grounds)
            add_responses(plan, loops, ground, detail.tolerance_rel, response);
    };
    try {
        base::parallel_for(frequencies_hz.size(), threads, one);
    } catch (const model::RangeError& refused) {
        throw setup::refused_value(plan, refused);
    }
    return out;
}

}  // namespace

std::vector<FrequencyResponse> station_responses(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                 unsigned threads, const FieldDetail& detail) {
    return station_responses(plan, setup, setup.frequencies_hz, threads, detail);
}

std::vector<FrequencyResponse> station_responses(const plan::Plan& plan, const setup::SweepSetup& setup,
                                                 const std::vector<double>& frequencies_hz, unsigned threads,
                                                 const FieldDetail& detail) {
    return responses_over(
        plan, setup.transmitter.design, frequencies_hz, threads,
        detail, [&](const plan::Station& station) -> const auto& { return setup.ground_of(station); });
}

std::vector<FrequencyResponse> station_responses(const plan::Plan& plan,
                                                 const model::transmitter::TransmitterDesign& transmitter,
                                                 const model::ground::LayeredEarth& earth,
                                                 const std::vector<double>& frequencies_hz, unsigned threads,
                                                 const FieldDetail& detail) {
    return responses_over(
        plan, transmitter, frequencies_hz, threads,
        detail, [&](const plan::Station&) -> const auto& { return earth; });
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
