#include "scheduler/rehearse/coverage.hpp"

#include <memory>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/rehearse/agreement.hpp"
#include "scheduler/rehearse/rehearse.hpp"
#include "scheduler/rehearse/station/drawn_step.hpp"
#include "scheduler/rehearse/station/station.hpp"

namespace ampturn::rehearse {
namespace {

struct StationDay {
    station::StationMeasured measured;
    int drawn = 0, synthesised = 0;
};

StationDay draw_station(const station::Rehearsal& rehearsal, int station_index, station::LineDraws& draws) {
    station::StationNoise noise(rehearsal, station_index);
    std::vector<station::StepMeasured> steps;
    StationDay out;
    for (const station::SentStep& sent : station::steps_sent_to(rehearsal.day, station_index)) {
        station::DrawnStep step = station::draw_step(rehearsal, station_index, sent, noise, draws);
        ++(step.synthesised ? out.synthesised : out.drawn);
        steps.push_back(std::move(step.measured));
    }
    out.measured = station::station_measured(rehearsal, station_index, steps);
    return out;
}

struct Row {
    AgreementSum sum;
    int measured = 0, mains_clash_order = 0;
    void add(const station::StationFrequencyResult& point) {
        sum.add(point);
        mains_clash_order = point.mains_clash_order;
        measured += point.measured ? 1 : 0;
    }
};

}  // namespace

CoverageResult coverage_study(const plan::Plan& plan, const setup::SurveySetup& setup,
                              const day::DayResult& day, const CoverageOptions& options) {
    const std::vector<int> chosen = station_indices(plan, options.stations);
    const station::FieldTable fields(plan, setup, options.threads);
    const std::vector<station::HarmonicRatios> harmonics =
        station::harmonic_ratios(setup.transmitter, setup.table);
    CoverageResult result{.plan_path = plan.source.path,
                          .plan_crc32 = day.plan_crc32,
                          .survey_name = plan.survey.name,
                          .invented = plan.survey.invented,
                          .seed = options.seed,
                          .days = options.days,
                          .stations = static_cast<int>(chosen.size()),
                          .steps_drawn = 0,
                          .steps_synthesised = 0,
                          .whole = {},
                          .by_frequency = {},
                          .by_station = {}};
    Row whole;
    std::vector<Row> by_frequency(day.frequencies_hz.size()), by_station(chosen.size());
    const std::vector<std::size_t> sensor_sets = plan::sensor_sets_standing(plan);
    station::LineDraws draws;
    for (int d = 0; d < options.days; ++d) {
        const station::Rehearsal rehearsal{.plan = plan,
                                           .day = day,
                                           .setup = setup,
                                           .fields = fields,
                                           .harmonics = harmonics,
                                           .sensor_sets = sensor_sets,
                                           .seed = options.seed + static_cast<std::uint64_t>(d),
                                           .keep_directory = std::nullopt};
        std::vector<StationDay> stations(chosen.size());
        base::parallel_for(chosen.size(), options.threads,
                           [&](std::size_t i) { stations[i] = draw_station(rehearsal, chosen[i], draws); });
        for (std::size_t i = 0; i < chosen.size(); ++i) {
            result.steps_drawn += stations[i].drawn;
            result.steps_synthesised += stations[i].synthesised;
            for (const station::StationFrequencyResult& point : stations[i].measured.frequencies) {
                whole.add(point);
                by_frequency[static_cast<std::size_t>(point.frequency_index)].add(point);
                by_station[i].add(point);
            }
        }
        if (options.day_done) options.day_done();
    }
    result.whole = whole.sum.value();
    for (std::size_t f = 0; f < by_frequency.size(); ++f)
        result.by_frequency.push_back({.name = "",
                                       .frequency_hz = day.frequencies_hz[f],
                                       .mains_clash_order = by_frequency[f].mains_clash_order,
                                       .measured = by_frequency[f].measured,
                                       .agreement = by_frequency[f].sum.value()});
    for (std::size_t i = 0; i < chosen.size(); ++i)
        result.by_station.push_back({.name = plan.stations[static_cast<std::size_t>(chosen[i])].name,
                                     .frequency_hz = 0,
                                     .mains_clash_order = 0,
                                     .measured = by_station[i].measured,
                                     .agreement = by_station[i].sum.value()});
    return result;
}

}  // namespace ampturn::rehearse
