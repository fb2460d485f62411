#include "scheduler/reach/site_search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <span>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/reading/place_reading.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/reading/survey_frequency.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::reach {

namespace {

constexpr double nearest_m = 20, farthest_m = 19'000;
constexpr std::size_t grid_points_most = 1'000'000;

/// The way from a candidate to a station, the same at every frequency.
struct Pair {
    bool in_range;
    reading::OffsetGrid::Weights at;
    reading::Way way{0};
};

/// Offsets between candidates and stations, so far as they are looked at.
reading::OffsetGrid grid_of(const std::vector<SiteCandidate>& candidates,
                            const std::vector<const plan::Station*>& stations) {
    double from_m = 2 * farthest_m, to_m = 0;
    for (const SiteCandidate& candidate : candidates)
        for (const plan::Station* station : stations) {
            // On the map, whose distances are those on the ground to far better than the margin below.
            const double offset_m = std::hypot(candidate.place.x_m - station->place.x_m,
                                               candidate.place.y_m - station->place.y_m);
            if (offset_m < 0.99 * nearest_m || offset_m > 1.01 * farthest_m) continue;
            from_m = std::min(from_m, offset_m);
            to_m = std::max(to_m, offset_m);
        }
    if (from_m > to_m) return {nearest_m, 2 * nearest_m};  // nothing will be asked
    return {0.98 * from_m, std::min(20'000.0, 1.02 * to_m)};
}

/// All that one frequency needs to judge any place.
struct FrequencyJudge {
    struct OfGround {
        reading::OffsetFields fields;
        reading::PlaceTargets targets;
    };
    std::vector<OfGround> grounds;
    struct OfStation {
        bool wanted;
        std::size_t ground;
        plan::Receiver receiver;
        reading::ReadingInput input;  // but the fields
        setup::Crest background;
    };
    std::vector<OfStation> stations;
};

class SearchJudge {
  public:
    SearchJudge(const plan::Plan& plan, const setup::SweepSetup& setup,
                const std::vector<reading::SurveyFrequency>& frequencies,
                const std::vector<const plan::Station*>& stations, const reading::OffsetGrid& grid,
                const SiteSearchOptions& options, int hour)
        : plan_(plan),
          stations_(stations),
          grid_(grid),
          normal_a_(plan.loop_azimuth_deg(model::loop::LoopSelection::a, options.azimuth_site_index),
                    plan.loop_a.tilt_deg),
          normal_b_(plan.loop_azimuth_deg(model::loop::LoopSelection::b, options.azimuth_site_index),
                    plan.loop_b.tilt_deg) {
        for (const plan::Station* station : stations) add_ground_of(*station, setup);
        std::vector<std::optional<FrequencyJudge>> made(frequencies.size());
        base::parallel_for(frequencies.size(), options.threads, [&](std::size_t i) {
            made[i].emplace(judge_of(frequencies[i], hour, options.field_tolerance_rel));
        });
        for (std::optional<FrequencyJudge>& judge : made) frequencies_.push_back(std::move(*judge));
    }

    /// `usable`: a row a candidate, or null.
    void score(std::span<SiteCandidate> candidates, std::uint16_t* usable) const {
        std::vector<Pair> pairs;  // candidate by candidate
        for (SiteCandidate& candidate : candidates) {
            candidate.nearest_station_m = std::numeric_limits<double>::infinity();
            for (const plan::Station* station : stations_) {
                const plan::OffsetBearing way = plan::offset_bearing(candidate.place, station->place);
                candidate.nearest_station_m = std::min(candidate.nearest_station_m, way.offset_m);
                const bool in_range = way.offset_m >= nearest_m && way.offset_m <= farthest_m;
                pairs.push_back({in_range, in_range ? grid_.at(way.offset_m) : reading::OffsetGrid::Weights{},
                                 reading::Way(way.bearing_deg)});
            }
        }
        for (const FrequencyJudge& f : frequencies_)
            for (std::size_t s = 0; s < stations_.size(); ++s) {
                if (!f.stations[s].wanted) continue;
                reading::ReadingInput input = f.stations[s].input;
                for (std::size_t c = 0; c < candidates.size(); ++c)
                    if (const Pair& pair = pairs[c * stations_.size() + s]; pair.in_range) {
                        const bool here =
                            score(f.grounds[f.stations[s].ground], f.stations[s], pair, input, candidates[c]);
                        if (usable != nullptr) usable[c * stations_.size() + s] += here;
                    }
            }
    }

    int reading_count() const {
        int count = 0;
        for (const FrequencyJudge& f : frequencies_)
            for (const FrequencyJudge::OfStation& station : f.stations) count += station.wanted;
        return count;
    }

  private:
    /// Grounds that are alike are one.
    void add_ground_of(const plan::Station& station, const setup::SweepSetup& setup) {
        const model::ground::LayeredEarth& ground = setup.ground_of(station);
        auto known = std::find_if(grounds_.begin(), grounds_.end(),
                                  [&](const Ground& g) { return *g.ground == ground; });
        if (known == grounds_.end()) {
            grounds_.push_back({&ground, setup::background_crest(plan_, ground)});
            known = grounds_.end() - 1;
        }
        ground_of_station_.push_back(static_cast<std::size_t>(known - grounds_.begin()));
    }

    FrequencyJudge judge_of(const reading::SurveyFrequency& f, int hour, double tolerance_rel) const {
        FrequencyJudge judge;
        for (const Ground& ground : grounds_) {
            reading::OffsetFields fields(*ground.ground, f.frequency_hz, plan_.loop_a.centre_height_m,
                                         plan_.loop_b.centre_height_m, grid_, tolerance_rel);
            const std::complex<double> plane_ohm = fields.plane_impedance_ohm();
            judge.grounds.push_back({std::move(fields), {plan_.targets, plane_ohm}});
        }
        for (std::size_t s = 0; s < stations_.size(); ++s) {
            const plan::Station* station = stations_[s];
            const std::size_t ground = ground_of_station_[s];
            const std::complex<double> plane_ohm = judge.grounds[ground].fields.plane_impedance_ohm();
            const plan::Receiver receiver = plan::receiver_of(plan_, *station);
            reading::ReadingInput input{
                .frequency_hz = f.frequency_hz,
                .a = {},
                .b = {},
                .sent_a = f.recorded_a,
                .sent_b = f.recorded_b,
                .noise = setup::noise_at_station(plan_, *station, hour, f.frequency_hz, std::abs(plane_ohm)),
                .plane_impedance_ohm = plane_ohm};
            reading::add_receiver(receiver, input);
            input.sent_a.dwell_s *= station->sweeps;
            input.sent_b.dwell_s *= station->sweeps;
            const setup::BackgroundCrest background = setup::background_crest_at(
                plan_, *station, *grounds_[ground].ground, grounds_[ground].background);
            judge.stations.push_back({station->requires_frequency(f.frequency_hz), ground, receiver, input,
                                      background.with_mains(setup::mains_b_t(plan_, *station))});
        }
        return judge;
    }

    /// Whether it is usable.
    bool score(const FrequencyJudge::OfGround& f, const FrequencyJudge::OfStation& station, const Pair& pair,
               reading::ReadingInput& input, SiteCandidate& candidate) const {
        const reading::OffsetFields::Axes axes = f.fields.axes(0, pair.at);
        input.a = reading::OffsetFields::turned(axes, normal_a_, pair.way);
        input.b = reading::OffsetFields::turned(f.fields.same_height() ? axes : f.fields.axes(1, pair.at),
                                                normal_b_, pair.way);
        input.no_record = reading::clips(station.receiver, station.background, input)
                              ? reading::NoRecord::clipped
                              : reading::NoRecord::none;
        const reading::PlaceReading here(input, f.targets);
        const bool far_field = here.bias_ratio() <= 1;
        const bool sufficient_snr = here.error_ratio(input.noise) <= 1;
        candidate.far_field_count += far_field;
        candidate.sufficient_snr_count += sufficient_snr;
        candidate.usable_count += far_field && sufficient_snr;
        return far_field && sufficient_snr;
    }

    const plan::Plan& plan_;
    const std::vector<const plan::Station*>& stations_;
    struct Ground {
        const model::ground::LayeredEarth* ground;
        setup::BackgroundCrest background;
    };
    std::vector<Ground> grounds_;
    std::vector<std::size_t> ground_of_station_;
    reading::OffsetGrid grid_;
    reading::LoopNormal normal_a_, normal_b_;
    std::vector<FrequencyJudge> frequencies_;
};

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
    return search_site(plan, setup::survey_setup_of(plan), std::move(candidates), options);
}

SiteSearch search_site(const plan::Plan& plan, const setup::SurveySetup& setup,
                       std::vector<SiteCandidate> candidates, const SiteSearchOptions& options) {
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

    for (std::size_t i = 0; i < candidates.size(); ++i) candidates[i].row = i;
    std::vector<std::uint16_t> usable(options.by_station ? candidates.size() * stations.size() : 0);
    const SearchJudge judge(plan, setup, frequencies, stations, grid_of(candidates, stations), options, hour);
    constexpr std::size_t together = 128;  // candidates a thread takes at once
    base::parallel_for(
        (candidates.size() + together - 1) / together, options.threads, [&](std::size_t block) {
            const std::size_t begin = block * together;
            judge.score(std::span(candidates).subspan(begin, std::min(together, candidates.size() - begin)),
                        options.by_station ? &usable[begin * stations.size()] : nullptr);
        });

    SiteSearch out{.survey_name = plan.survey.name,
                   .invented = plan.survey.invented,
                   .reading_count = judge.reading_count(),
                   .candidates = {},
                   .planned = {},
                   .stations = {},
                   .usable_by_station = std::move(usable),
                   .hour = hour,
                   .grid_step_m = options.grid_step_m,
                   .keep_out_public_m = setup.keep_out.public_m,
                   .keep_out_occupational_m = setup.keep_out.occupational_m};
    for (const plan::Station* s : stations) out.stations.push_back(*s);
    out.planned.assign(candidates.begin() + static_cast<std::ptrdiff_t>(given), candidates.end());
    candidates.resize(given);
    std::stable_sort(
        candidates.begin(), candidates.end(),
        [](const SiteCandidate& a, const SiteCandidate& b) { return a.usable_count > b.usable_count; });
    out.candidates = std::move(candidates);
    return out;
}

}  // namespace ampturn::reach
