#include "scheduler/reach/reach.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <optional>
#include <tuple>
#include <utility>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/reading/place_reading.hpp"
#include "scheduler/reading/reading_quality.hpp"
#include "scheduler/reading/station_response.hpp"
#include "scheduler/reading/survey_frequency.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::reach {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double sample_ratio = 1.02;
constexpr std::array natural_levels{plan::NaturalNoise::quiet_day, plan::NaturalNoise::typical,
                                    plan::NaturalNoise::summer_night};
constexpr std::size_t level_count = natural_levels.size();

/// Ratios of one direction, or the worst of several, offset by offset.
struct Ratios {
    std::vector<double> bias, error;
    std::array<std::vector<double>, level_count> error_at_level;  // natural field as on such days
    explicit Ratios(std::size_t n) : bias(n, 0), error(n, 0) {
        for (auto& list : error_at_level) list.assign(n, 0);
    }
    void worsen(const Ratios& other) {
        const auto larger = [](std::vector<double>& own, const std::vector<double>& theirs) {
            for (std::size_t i = 0; i < own.size(); ++i) own[i] = std::max(own[i], theirs[i]);
        };
        larger(bias, other.bias);
        larger(error, other.error);
        for (std::size_t l = 0; l < level_count; ++l) larger(error_at_level[l], other.error_at_level[l]);
    }
};

[[noreturn]] void refuse(const char* option, const std::string& found, const char* allowed) {
    throw base::InputError(base::InputProblem{.file = option, .found = found, .allowed = allowed});
}

ReachOptions settled(const plan::Plan& plan, ReachOptions options) {
    if (options.sector_count < 1 || options.sector_count > 36)
        refuse("--sectors", std::to_string(options.sector_count), "1 to 36");
    if (options.offset_min_m == 0)
        options.offset_min_m = std::max(20.0, 5 * std::max(plan::outline_of(plan.loop_a).reach_m(),
                                                           plan::outline_of(plan.loop_b).reach_m()));
    if (options.offset_max_m == 0) options.offset_max_m = 10'000;
    if (!(options.offset_min_m >= 20 && options.offset_max_m <= 19'000 &&
          options.offset_min_m < options.offset_max_m))
        refuse("--from, --to", fmt::format("{:g} m, {:g} m", options.offset_min_m, options.offset_max_m),
               "rising offsets, 20 m to 19000 m");
    if (options.hour < 0)
        options.hour = static_cast<int>((plan.day.start_s + plan.day.end_s) / 2 / 3600) % 24;
    if (options.hour > 23) refuse("--hour", std::to_string(options.hour), "0 to 23");
    return options;
}

std::vector<double> sampled_offsets_m(double from_m, double to_m) {
    const auto steps = static_cast<int>(std::ceil(std::log(to_m / from_m) / std::log(sample_ratio)));
    std::vector<double> offsets;
    for (int i = 0; i <= steps; ++i)
        offsets.push_back(i == steps ? to_m : from_m * std::pow(to_m / from_m, double(i) / steps));
    return offsets;
}

/// A ratio between samples: a straight line in log ratio over log offset.
double ratio_at(const std::vector<double>& offsets_m, const std::vector<double>& ratios, double offset_m) {
    const auto above = std::lower_bound(offsets_m.begin(), offsets_m.end(), offset_m);
    if (above == offsets_m.begin()) return ratios.front();
    if (above == offsets_m.end()) return ratios.back();
    const auto i = static_cast<std::size_t>(above - offsets_m.begin());
    if (!std::isfinite(ratios[i - 1]) || !std::isfinite(ratios[i])) return infinite;
    const double share = std::log(offset_m / offsets_m[i - 1]) / std::log(offsets_m[i] / offsets_m[i - 1]);
    return std::exp((1 - share) * std::log(ratios[i - 1]) + share * std::log(ratios[i]));
}

/// The smallest of a ratio inside intervals, ends included, and where.
std::pair<double, double> smallest_within(const std::vector<OffsetInterval>& intervals,
                                          const std::vector<double>& offsets_m,
                                          const std::vector<double>& ratios) {
    std::pair<double, double> best{infinite, 0};
    const auto consider = [&](double ratio, double offset_m) {
        if (ratio < best.first) best = {ratio, offset_m};
    };
    for (const OffsetInterval& i : intervals) {
        consider(ratio_at(offsets_m, ratios, i.from_m), i.from_m);
        consider(ratio_at(offsets_m, ratios, i.to_m), i.to_m);
        for (std::size_t k = 0; k < offsets_m.size(); ++k)
            if (i.from_m <= offsets_m[k] && offsets_m[k] <= i.to_m) consider(ratios[k], offsets_m[k]);
    }
    return best;
}

Remedy opening_of(const std::vector<double>& offsets_m, const Ratios& ratios, const ReachCell& cell,
                  const plan::Noise& noise) {
    Remedy out{};
    std::tie(out.moment_factor, out.moment_at_m) = smallest_within(cell.far_field, offsets_m, ratios.error);
    std::tie(out.tolerance_factor, out.tolerance_at_m) =
        smallest_within(cell.sufficient_snr, offsets_m, ratios.bias);
    out.dwell_factor = out.moment_factor * out.moment_factor;
    if (noise.spectrum) return out;  // an own spectrum knows no levels
    for (std::size_t l = 0; l < level_count; ++l)
        if (smallest_within(cell.far_field, offsets_m, ratios.error_at_level[l]).first <= 1)
            out.natural_levels.push_back(natural_levels[l]);
    for (std::size_t hour = 0; hour < noise.natural_by_hour.size(); ++hour)
        if (std::find(out.natural_levels.begin(), out.natural_levels.end(), noise.natural_by_hour[hour]) !=
            out.natural_levels.end())
            out.hours.push_back(static_cast<int>(hour));
    return out;
}

ReachCell cell_of(const std::vector<double>& offsets_m, const Ratios& ratios, const plan::Noise& noise) {
    ReachCell cell;
    cell.far_field = intervals_up_to_one(offsets_m, ratios.bias);
    cell.sufficient_snr = intervals_up_to_one(offsets_m, ratios.error);
    cell.usable = common_intervals(cell.far_field, cell.sufficient_snr);
    if (cell.usable.empty()) cell.opening = opening_of(offsets_m, ratios, cell, noise);
    return cell;
}

struct Direction {
    double bearing_deg;
    std::vector<std::size_t> sectors;  // it belongs to
};

/// Edges and middle of every sector, each bearing once.
std::vector<Direction> directions_of(const std::vector<Sector>& sectors) {
    std::vector<Direction> out;
    for (std::size_t s = 0; s < sectors.size(); ++s)
        for (const double bearing_deg :
             {sectors[s].from_deg, (sectors[s].from_deg + sectors[s].to_deg) / 2, sectors[s].to_deg}) {
            const auto known = std::find_if(out.begin(), out.end(), [&](const Direction& d) {
                return std::fabs(d.bearing_deg - bearing_deg) < 1e-9;
            });
            if (known == out.end())
                out.push_back({bearing_deg, {s}});
            else
                known->sectors.push_back(s);
        }
    return out;
}

class Explorer {
  public:
    Explorer(const plan::Plan& plan, const ReachOptions& options, const model::ground::LayeredEarth& earth,
             const std::vector<Sector>& sectors)
        : plan_(plan),
          options_(options),
          earth_(earth),
          sectors_(sectors),
          directions_(directions_of(sectors)),
          offsets_m_(sampled_offsets_m(options.offset_min_m, options.offset_max_m)),
          grid_(options.offset_min_m, options.offset_max_m),
          background_(setup::background_crest(plan, earth).with_mains(setup::mains_b_t(plan, {}))),
          normal_a_(plan.loop_azimuth_deg(model::loop::LoopSelection::a, options.site_index),
                    plan.loop_a.tilt_deg),
          normal_b_(plan.loop_azimuth_deg(model::loop::LoopSelection::b, options.site_index),
                    plan.loop_b.tilt_deg) {
        for (const double offset_m : offsets_m_) weights_.push_back(grid_.at(offset_m));
    }

    /// Fields over its earth.
    reading::OffsetFields fields_at(double frequency_hz) const {
        return {earth_,
                frequency_hz,
                plan_.loop_a.centre_height_m,
                plan_.loop_b.centre_height_m,
                grid_,
                options_.field_tolerance_rel};
    }
    const model::ground::LayeredEarth& earth() const { return earth_; }

    ReachFrequency explore(const reading::SurveyFrequency& f, const reading::OffsetFields& fields) const {
        std::array<std::vector<reading::OffsetFields::Axes>, 2> axes;
        for (const std::size_t loop : {0u, 1u})
            for (const reading::OffsetGrid::Weights& at : weights_)
                axes[loop].push_back(fields.axes(loop, at));
        const double surface_ohm = std::abs(fields.plane_impedance_ohm());
        ReachFrequency out{};
        out.frequency_hz = f.frequency_hz;
        out.dwell_a_s = f.sent_a.dwell_s;
        out.dwell_b_s = f.sent_b.dwell_s;
        out.moment_a_a_m2 = f.sent_a.moment_a_m2_peak;
        out.moment_b_a_m2 = f.sent_b.moment_a_m2_peak;
        out.plane_resistivity_ohm_m =
            model::ground::apparent_resistivity_ohm_m(fields.plane_impedance_ohm(), f.frequency_hz);
        out.skin_depth_m = model::skin_depth_m(out.plane_resistivity_ohm_m, f.frequency_hz);
        out.rule_of_thumb_m = plan_.targets.rule_of_thumb_skin_depths * out.skin_depth_m;
        const model::receiver::NoiseAt noise =
            reading::planning_noise(plan_, options_.hour, f.frequency_hz, surface_ohm);
        out.natural_signal_sd_percent =
            reading::natural_sounding_sd_percent(noise, f.frequency_hz, f.sent_a.dwell_s + f.sent_b.dwell_s);
        std::array<model::receiver::NoiseAt, level_count> noise_at_level;
        for (std::size_t l = 0; l < level_count; ++l)
            noise_at_level[l] = reading::planning_noise(plan_, options_.hour, f.frequency_hz, surface_ohm,
                                                        &natural_levels[l]);

        std::vector<Ratios> of_sector(sectors_.size(), Ratios(offsets_m_.size()));
        Ratios worst(offsets_m_.size());
        for (const Direction& direction : directions_) {
            const Ratios here =
                along(direction.bearing_deg, f, axes, fields.plane_impedance_ohm(), noise, noise_at_level);
            for (const std::size_t s : direction.sectors) of_sector[s].worsen(here);
            worst.worsen(here);
        }
        for (const Ratios& ratios : of_sector)
            out.sectors.push_back(cell_of(offsets_m_, ratios, plan_.noise));
        out.all_directions = cell_of(offsets_m_, worst, plan_.noise);
        return out;
    }

  private:
    Ratios along(double bearing_deg, const reading::SurveyFrequency& f,
                 const std::array<std::vector<reading::OffsetFields::Axes>, 2>& axes,
                 std::complex<double> plane_impedance_ohm, const model::receiver::NoiseAt& noise,
                 const std::array<model::receiver::NoiseAt, level_count>& noise_at_level) const {
        reading::ReadingInput input{.frequency_hz = f.frequency_hz,
                                    .a = {},
                                    .b = {},
                                    .sent_a = f.recorded_a,
                                    .sent_b = f.recorded_b,
                                    .noise = {},
                                    .plane_impedance_ohm = plane_impedance_ohm};
        reading::add_receiver(plan_.receiver, input);
        const reading::PlaceTargets targets(plan_.targets, plane_impedance_ohm);
        const reading::Way way(bearing_deg);
        Ratios out(offsets_m_.size());
        for (std::size_t i = 0; i < offsets_m_.size(); ++i) {
            input.a = reading::OffsetFields::turned(axes[0][i], normal_a_, way);
            input.b = reading::OffsetFields::turned(axes[1][i], normal_b_, way);
            input.no_record = reading::clips(plan_.receiver, background_, input) ? reading::NoRecord::clipped
                                                                                 : reading::NoRecord::none;
            const reading::PlaceReading here(input, targets);
            out.bias[i] = here.bias_ratio();
            out.error[i] = here.needed_moment_factor(noise);
            for (std::size_t l = 0; l < level_count; ++l)
                out.error_at_level[l][i] = here.needed_moment_factor(noise_at_level[l]);
        }
        return out;
    }

    const plan::Plan& plan_;
    const ReachOptions& options_;
    const model::ground::LayeredEarth& earth_;
    const std::vector<Sector>& sectors_;
    std::vector<Direction> directions_;
    std::vector<double> offsets_m_;
    reading::OffsetGrid grid_;
    std::vector<reading::OffsetGrid::Weights> weights_;  // of each offset
    setup::Crest background_;
    reading::LoopNormal normal_a_, normal_b_;
};

std::vector<Sector> sectors_of(const plan::Plan& plan, int count) {
    const bool upright = plan.loop_a.tilt_deg == 0 && plan.loop_b.tilt_deg == 0;
    const int whole = upright ? count : 2 * count;
    std::vector<Sector> out;
    for (int s = 0; s < whole; ++s) out.push_back({180.0 * s / count, 180.0 * (s + 1) / count, upright});
    return out;
}

int sector_at(const std::vector<Sector>& sectors, double bearing_deg) {
    const double round_deg = sectors.back().to_deg;
    const double inside = std::fmod(bearing_deg, round_deg);
    const auto index = static_cast<int>(inside / round_deg * static_cast<double>(sectors.size()));
    return std::clamp(index, 0, static_cast<int>(sectors.size()) - 1);
}

bool holds(const std::vector<OffsetInterval>& intervals, double offset_m) {
    return std::any_of(intervals.begin(), intervals.end(),
                       [&](const OffsetInterval& i) { return i.from_m <= offset_m && offset_m <= i.to_m; });
}

/// Judges one station of the site by its own ground, sensors and noise: over them the window of its sector is another than the
/// survey's. A station without any of its own is judged by the survey's window.
class StationExplorer {
  public:
    StationExplorer(const plan::Plan& plan, const setup::SweepSetup& setup, const ReachOptions& options,
                    const plan::Station& station, const std::vector<Sector>& sectors)
        : station_(station), sector_index_(sector_at(sectors, station.bearing_deg)) {
        if (!plan::differs_from_survey(station)) return;
        here_ = plan::plan_as_at(plan, station);
        sector_ = {sectors[static_cast<std::size_t>(sector_index_)]};
        explorer_.emplace(*here_, options, setup.ground_of(station), sector_);
    }
    StationExplorer(const StationExplorer&) = delete;  // the explorer keeps references to it
    StationExplorer& operator=(const StationExplorer&) = delete;

    const plan::Station& station() const { return station_; }
    int sector_index() const { return sector_index_; }

    /// `survey` and `fields`: everywhere else at the frequency, and the fields over the survey's earth.
    bool in_window(const reading::SurveyFrequency& f, const ReachFrequency& survey,
                   const model::ground::LayeredEarth& earth, const reading::OffsetFields& fields) const {
        if (!explorer_)
            return holds(survey.sectors[static_cast<std::size_t>(sector_index_)].usable, station_.offset_m);
        const ReachFrequency own = explorer_->earth() == earth
                                       ? explorer_->explore(f, fields)
                                       : explorer_->explore(f, explorer_->fields_at(f.frequency_hz));
        return holds(own.sectors.front().usable, station_.offset_m);
    }

  private:
    const plan::Station& station_;
    int sector_index_;
    std::optional<plan::Plan> here_;
    std::vector<Sector> sector_;
    std::optional<Explorer> explorer_;
};

/// Those of the site, in the order of the plan.
std::vector<std::unique_ptr<StationExplorer>> station_explorers(const plan::Plan& plan,
                                                                const setup::SweepSetup& setup,
                                                                const ReachOptions& options,
                                                                const std::vector<Sector>& sectors) {
    std::vector<std::unique_ptr<StationExplorer>> out;
    for (const plan::Station& station : plan.stations)
        if (station.site_index == options.site_index)
            out.push_back(std::make_unique<StationExplorer>(plan, setup, options, station, sectors));
    return out;
}

}  // namespace

Reach reach_of(const plan::Plan& plan, const ReachOptions& options) {
    return reach_over(plan, setup::sweep_setup_of(plan), options);
}

Reach reach_over(const plan::Plan& plan, const setup::SweepSetup& setup, const ReachOptions& wanted) {
    const ReachOptions options = settled(plan, wanted);
    const std::vector<reading::SurveyFrequency> frequencies = reading::survey_frequencies(plan, setup);

    Reach out{.plan_path = plan.source.path,
              .survey_name = plan.survey.name,
              .site_name = plan.sites[static_cast<std::size_t>(options.site_index)].name,
              .invented = plan.survey.invented,
              .offset_min_m = options.offset_min_m,
              .offset_max_m = options.offset_max_m,
              .hour = options.hour,
              .noise_by_hour = !plan.noise.natural_by_hour.empty() && !plan.noise.spectrum,
              .day_start_s = plan.day.start_s,
              .day_end_s = plan.day.end_s,
              .targets = plan.targets,
              .table_made_for = setup.table.made_for,
              .sectors = sectors_of(plan, options.sector_count),
              .frequencies = {},
              .stations = {}};
    const Explorer explorer(plan, options, setup.earth, out.sectors);
    const std::vector<std::unique_ptr<StationExplorer>> stations =
        station_explorers(plan, setup, options, out.sectors);
    out.frequencies.resize(frequencies.size());
    std::vector<std::vector<char>> in_window(frequencies.size(), std::vector<char>(stations.size()));
    base::parallel_for(frequencies.size(), options.threads, [&](std::size_t i) {
        const reading::OffsetFields fields = explorer.fields_at(frequencies[i].frequency_hz);
        out.frequencies[i] = explorer.explore(frequencies[i], fields);
        for (std::size_t s = 0; s < stations.size(); ++s)
            in_window[i][s] = stations[s]->in_window(frequencies[i], out.frequencies[i], setup.earth, fields);
    });
    for (std::size_t s = 0; s < stations.size(); ++s) {
        const plan::Station& station = stations[s]->station();
        ReachStation dot{
            station.name, station.offset_m, station.bearing_deg, stations[s]->sector_index(), {}};
        for (const std::vector<char>& of_frequency : in_window) dot.in_window.push_back(of_frequency[s] != 0);
        out.stations.push_back(std::move(dot));
    }
    return out;
}

std::optional<double> far_field_from_m(const ReachCell& cell, double offset_max_m) {
    if (cell.far_field.empty() || cell.far_field.back().to_m < offset_max_m) return std::nullopt;
    return cell.far_field.back().from_m;
}

std::optional<double> sufficient_snr_to_m(const ReachCell& cell) {
    if (cell.sufficient_snr.empty()) return std::nullopt;
    return cell.sufficient_snr.back().to_m;
}

}  // namespace ampturn::reach
