#include "scheduler/reach/site_search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/reading/survey_frequency.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reach {

namespace {

constexpr double nearest_m = 20, farthest_m = 19'000;
constexpr std::size_t grid_points_most = 10'000;

struct Counts {
    int usable = 0, far_field = 0, sufficient_snr = 0;
};

/// Scores one frequency for every candidate.
std::vector<Counts> counts_at(const plan::Plan& plan, const reading::SurveyFrequency& f,
                              const model::ground::LayeredEarth& earth, int hour, int azimuth_site,
                              const std::vector<const plan::Station*>& stations,
                              const std::vector<std::vector<plan::OffsetBearing>>& ways) {
    std::vector<Counts> out(ways.size());
    double from_m = farthest_m, to_m = nearest_m;
    for (const auto& row : ways)
        for (const plan::OffsetBearing& way : row)
            if (way.offset_m >= nearest_m && way.offset_m <= farthest_m) {
                from_m = std::min(from_m, way.offset_m);
                to_m = std::max(to_m, way.offset_m);
            }
    if (from_m > to_m) return out;
    const reading::OffsetFields fields(earth, f.frequency_hz, plan.loop_a.centre_height_m,
                                       plan.loop_b.centre_height_m, std::max(nearest_m, 0.99 * from_m),
                                       std::min(20'000.0, 1.01 * to_m));
    const double azimuth_a = plan.loop_azimuth_deg(model::loop::LoopSelection::a, azimuth_site),
                 azimuth_b = plan.loop_azimuth_deg(model::loop::LoopSelection::b, azimuth_site);
    const setup::BackgroundCrest background = setup::background_crest(plan, earth);
    for (std::size_t s = 0; s < stations.size(); ++s) {
        if (!stations[s]->requires_frequency(f.frequency_hz)) continue;
        reading::ReadingInput input{.frequency_hz = f.frequency_hz,
                                    .a = {},
                                    .b = {},
                                    .sent_a = f.recorded_a,
                                    .sent_b = f.recorded_b,
                                    .noise = setup::noise_at_station(plan, *stations[s], hour, f.frequency_hz,
                                                                     std::abs(fields.plane_impedance_ohm())),
                                    .plane_impedance_ohm = fields.plane_impedance_ohm()};
        reading::add_receiver(plan, setup::contact_resistance_of(plan, *stations[s]), input);
        input.sent_a.dwell_s *= stations[s]->sweeps;
        input.sent_b.dwell_s *= stations[s]->sweeps;
        for (std::size_t c = 0; c < ways.size(); ++c) {
            const plan::OffsetBearing& way = ways[c][s];
            if (way.offset_m < nearest_m || way.offset_m > farthest_m) continue;
            input.a = fields.at(0, azimuth_a, plan.loop_a.tilt_deg, way.offset_m, way.bearing_deg);
            input.b = fields.at(1, azimuth_b, plan.loop_b.tilt_deg, way.offset_m, way.bearing_deg);
            input.no_record =
                reading::clips(plan, background.with_mains(setup::mains_b_t(plan, *stations[s])), input)
                    ? reading::NoRecord::clipped
                    : reading::NoRecord::none;
            const std::optional<reading::TensorReading> reading = reading::read_tensor_if_any(input);
            const bool far_field = reading::bias_ratio(reading, plan.targets) <= 1;
            const bool sufficient_snr = reading::error_ratio(reading, plan.targets) <= 1;
            out[c].far_field += far_field;
            out[c].sufficient_snr += sufficient_snr;
            out[c].usable += far_field && sufficient_snr;
        }
    }
    return out;
}

}  // namespace

std::vector<SiteCandidate> grid_candidates(const plan::Plan& plan, double step_m, double margin_m) {
    double south = std::numeric_limits<double>::infinity(), north = -south, west = south, east = -south;
    for (const plan::Station& s : plan.stations) {
        south = std::min(south, s.place.x_m);
        north = std::max(north, s.place.x_m);
        west = std::min(west, s.place.y_m);
        east = std::max(east, s.place.y_m);
    }
    const double rows = std::floor((north - south + 2 * margin_m) / step_m) + 1,
                 columns = std::floor((east - west + 2 * margin_m) / step_m) + 1;
    if (!(step_m > 0 && margin_m >= 0 && rows * columns <= static_cast<double>(grid_points_most)))
        throw base::InputError(base::InputProblem{
            .file = "--grid, --margin",
            .found = fmt::format("{:g} m, {:g} m", step_m, margin_m),
            .allowed = fmt::format("a step above 0 that gives at most {} points", grid_points_most)});
    const plan::Place& origin = plan.sites[0].place;
    std::vector<SiteCandidate> out;
    for (int i = 0; i < static_cast<int>(rows); ++i)
        for (int k = 0; k < static_cast<int>(columns); ++k) {
            SiteCandidate c;
            c.place.x_m = south - margin_m + i * step_m;
            c.place.y_m = west - margin_m + k * step_m;
            c.name = fmt::format("N {:.0f} E {:.0f}", c.place.x_m, c.place.y_m);
            if (plan::is_geographic(origin)) {
                const double x = c.place.x_m - origin.x_m, y = c.place.y_m - origin.y_m;
                c.place = plan::place_at(
                    origin, {std::hypot(x, y), plan::bearing_0_to_360(std::atan2(y, x) * 180 / M_PI)},
                    origin);
            }
            out.push_back(std::move(c));
        }
    return out;
}

std::vector<SiteCandidate> candidates_of(const plan::Plan& plan, const std::vector<Waypoint>& points) {
    const plan::Place& origin = plan.sites[0].place;
    if (!plan::is_geographic(origin))
        throw plan.error("site[1].latitude_deg", "nothing",
                         "coordinates of sites and stations, to place the file's points by; or --grid");
    std::vector<SiteCandidate> out;
    for (const Waypoint& p : points) {
        SiteCandidate c;
        c.name = p.name;
        c.place.latitude_deg = p.latitude_deg;
        c.place.longitude_deg = p.longitude_deg;
        plan::project(c.place, origin);
        out.push_back(std::move(c));
    }
    return out;
}

SiteSearch search_site(const plan::Plan& plan, std::vector<SiteCandidate> candidates,
                       const SiteSearchOptions& options) {
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    const auto frequencies = reading::survey_frequencies(plan, setup);
    const int hour = options.hour >= 0
                         ? options.hour
                         : static_cast<int>((plan.day.start_s + plan.day.end_s) / 2 / 3600) % 24;

    std::vector<const plan::Station*> stations;
    for (const plan::Station& s : plan.stations)
        if (options.only_stations_of_site.empty() || s.site == options.only_stations_of_site)
            stations.push_back(&s);
    const std::size_t given = candidates.size();
    for (const plan::Site& site : plan.sites) candidates.push_back({.name = site.name, .place = site.place});

    std::vector<std::vector<plan::OffsetBearing>> ways(candidates.size());
    for (std::size_t c = 0; c < candidates.size(); ++c) {
        double nearest = std::numeric_limits<double>::infinity();
        for (const plan::Station* s : stations) {
            ways[c].push_back(plan::offset_bearing(candidates[c].place, s->place));
            nearest = std::min(nearest, ways[c].back().offset_m);
        }
        candidates[c].nearest_station_m = nearest;
    }
    std::vector<std::vector<Counts>> counts(frequencies.size());
    base::parallel_for(frequencies.size(), options.threads, [&](std::size_t i) {
        counts[i] =
            counts_at(plan, frequencies[i], setup.earth, hour, options.azimuth_site_index, stations, ways);
    });

    SiteSearch out{.survey_name = plan.survey.name,
                   .invented = plan.survey.invented,
                   .reading_count = 0,
                   .candidates = {},
                   .planned = {},
                   .stations = {},
                   .hour = hour,
                   .grid_step_m = options.grid_step_m,
                   .keep_out_public_m = setup.keep_out.public_m,
                   .keep_out_occupational_m = setup.keep_out.occupational_m};
    for (const plan::Station* s : stations) out.stations.push_back(*s);
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        for (const plan::Station* s : stations)
            out.reading_count += s->requires_frequency(frequencies[i].frequency_hz);
        for (std::size_t c = 0; c < candidates.size(); ++c) {
            candidates[c].usable_count += counts[i][c].usable;
            candidates[c].far_field_count += counts[i][c].far_field;
            candidates[c].sufficient_snr_count += counts[i][c].sufficient_snr;
        }
    }
    out.planned.assign(candidates.begin() + static_cast<std::ptrdiff_t>(given), candidates.end());
    candidates.resize(given);
    std::stable_sort(
        candidates.begin(), candidates.end(),
        [](const SiteCandidate& a, const SiteCandidate& b) { return a.usable_count > b.usable_count; });
    out.candidates = std::move(candidates);
    return out;
}

}  // namespace ampturn::reach
