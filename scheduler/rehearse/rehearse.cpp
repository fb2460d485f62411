#include "scheduler/rehearse/rehearse.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <memory>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/rehearse/agreement.hpp"
#include "scheduler/rehearse/question/question.hpp"
#include "scheduler/rehearse/station/invert.hpp"
#include "scheduler/rehearse/station/schedule.hpp"
#include "scheduler/rehearse/station/station.hpp"

namespace ampturn::rehearse {
namespace {

std::vector<std::string> notes_of(const plan::Plan& plan, const day::DayResult& day,
                                  const station::RehearsalResult& result) {
    std::vector<std::string> notes;
    double lowest = plan.receiver.sample_rate_hz;
    for (const double f : day.frequencies_hz)
        lowest = std::min(lowest, setup::sampling_for(plan.receiver, f, 10).sample_rate_hz);
    if (lowest < plan.receiver.sample_rate_hz)
        notes.push_back(
            fmt::format("Each step is synthesised at the plan's {:g} Hz halved as often as seven times "
                        "its line allows (down to {:g} Hz), as after an ideal decimating filter.",
                        plan.receiver.sample_rate_hz, lowest));
    notes.push_back(
        "The natural field is a plane wave correlated by the ground's impedance; "
        "60 % of its power comes in impulses, 40 a second, log-normal heights (assumed). "
        "The mains wander inside their band with the ground's impedance too.");
    const plan::Receiver& receiver = plan.receiver;
    if (receiver.calibration_percent > 0 || receiver.azimuth_error_deg > 0 || receiver.level_error_deg > 0)
        notes.push_back(fmt::format(
            "The sensors are as far off as the plan says they may be, by chance: gains {:g} % in size and as much in phase, "
            "the same at all stations (one set goes round) and others at each frequency; azimuths {:g} and levels {:g} "
            "degrees, new at each station.",
            receiver.calibration_percent, receiver.azimuth_error_deg, receiver.level_error_deg));
    for (const setup::TableRow& row : day.table)
        if (row.mains_clash_order != 0 && row.loop != model::loop::LoopSelection::b)
            notes.push_back(
                fmt::format("{:.6g} Hz lies in the band of harmonic {} of the mains: "
                            "its bars are chance, and it is left out where bars are compared.",
                            row.frequency_hz, row.mains_clash_order));
    if (plan.noise.spectrum || std::any_of(plan.stations.begin(), plan.stations.end(),
                                           [](const plan::Station& s) { return s.spectrum.has_value(); }))
        notes.push_back(
            "Outside the plan's own noise spectrum no natural field is synthesised; "
            "a gap is not filled by guessing.");
    std::size_t silent = 0, heard = 0;
    const auto count = [&](const plan::Interferer& i) { ++(i.b_nt > 0 ? heard : silent); };
    std::for_each(plan.noise.interferers.begin(), plan.noise.interferers.end(), count);
    for (const plan::Station& station : plan.stations)
        std::for_each(station.interferers.begin(), station.interferers.end(), count);
    if (heard > 0)
        notes.push_back(fmt::format(
            "{} of the plan's interferers are heard: carriers keyed at random, each from one direction.",
            heard));
    if (silent > 0)
        notes.push_back(fmt::format(
            "{} of the plan's interferers have no level (b_nt): bands to avoid, not heard.", silent));
    std::uint64_t clipped = 0;
    for (const station::StationFrequencyResult& m : result.measured) clipped += m.clipped_samples;
    if (clipped > 0)
        notes.push_back(fmt::format("{} samples met the end of the converter's range.", clipped));
    return notes;
}

/// A station on its way.
struct Underway {
    std::vector<station::SentStep> steps;
    std::unique_ptr<station::StationNoise> noise;
    std::vector<station::StepMeasured> measured;
    std::atomic<std::size_t> left;  // steps to be measured
};

struct Done {
    station::StationMeasured measured;
    station::StationInversion inversion;
};

/// Every step of every station is a piece of work of its own, and a function of the seed and its names only; who measures a
/// station's last step finishes the station. Threads cannot show in the result.
std::vector<Done> stations_done(const station::Rehearsal& rehearsal, const setup::SurveySetup& setup,
                                const std::vector<int>& chosen, const RehearsalOptions& options) {
    std::vector<Underway> underway(chosen.size());
    std::vector<Done> done(chosen.size());
    std::vector<std::pair<std::size_t, std::size_t>> work;  // station and step
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        underway[i].steps = station::steps_sent_to(rehearsal.day, chosen[i]);
        underway[i].left = underway[i].steps.size();
        underway[i].noise = std::make_unique<station::StationNoise>(rehearsal, chosen[i]);
        underway[i].measured.resize(underway[i].steps.size());
        for (std::size_t step = 0; step < underway[i].steps.size(); ++step) work.emplace_back(i, step);
    }
    const auto finish = [&](std::size_t i) {
        done[i].measured = station::station_measured(rehearsal, chosen[i], underway[i].measured);
        if (underway[i].steps.empty())
            done[i].inversion.note = "nothing was sent to it that day";
        else if (options.invert)
            done[i].inversion = station::invert_station(rehearsal.plan, setup.transmitter.design, chosen[i],
                                                        done[i].measured.frequencies);
        underway[i].measured = {};
        underway[i].noise.reset();
        if (options.station_done) options.station_done();
    };
    base::parallel_for(work.size(), options.threads, [&](std::size_t w) {
        const auto [i, step] = work[w];
        underway[i].measured[step] =
            station::measure_step(rehearsal, chosen[i], underway[i].steps[step], *underway[i].noise);
        if (--underway[i].left == 0) finish(i);
    });
    for (std::size_t i = 0; i < chosen.size(); ++i)
        if (underway[i].steps.empty()) finish(i);
    return done;
}

}  // namespace

std::vector<int> station_indices(const plan::Plan& plan, const std::vector<std::string>& names) {
    std::vector<int> indices;
    for (int i = 0; i < static_cast<int>(plan.stations.size()); ++i) {
        const std::string& name = plan.stations[static_cast<std::size_t>(i)].name;
        if (names.empty() || std::find(names.begin(), names.end(), name) != names.end()) indices.push_back(i);
    }
    for (const std::string& name : names)
        if (std::none_of(plan.stations.begin(), plan.stations.end(),
                         [&](const plan::Station& s) { return s.name == name; }))
            throw base::InputError(base::InputProblem{.file = "--station",
                                                      .found = "\"" + name + "\"",
                                                      .allowed = "the name of a station of the plan"});
    return indices;
}

station::RehearsalResult rehearse(const plan::Plan& plan, const day::DayResult& day,
                                  const RehearsalOptions& options) {
    return rehearse(plan, setup::survey_setup_of(plan), day, options);
}

station::RehearsalResult rehearse(const plan::Plan& plan, const setup::SurveySetup& setup,
                                  const day::DayResult& day, const RehearsalOptions& options) {
    const std::vector<int> chosen = station_indices(plan, options.stations);
    const station::FieldTable fields(plan, setup, options.threads);
    const std::vector<station::HarmonicRatios> harmonics =
        station::harmonic_ratios(setup.transmitter, setup.table);
    const std::vector<std::size_t> sensor_sets = plan::sensor_sets_standing(plan);
    const station::Rehearsal rehearsal{.plan = plan,
                                       .day = day,
                                       .setup = setup,
                                       .fields = fields,
                                       .harmonics = harmonics,
                                       .sensor_sets = sensor_sets,
                                       .seed = options.seed,
                                       .with_vertical = options.with_vertical,
                                       .keep_directory = options.keep_directory};
    std::vector<Done> done = stations_done(rehearsal, setup, chosen, options);
    station::RehearsalResult result{};
    result.plan_path = plan.source.path;
    result.plan_crc32 = day.plan_crc32;
    result.survey_name = plan.survey.name;
    result.invented = plan.survey.invented;
    result.seed = options.seed;
    result.frequencies_hz = day.frequencies_hz;
    result.truth = station::section_of(setup.earth);
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        const plan::Station& station = plan.stations[static_cast<std::size_t>(chosen[i])];
        Done& d = done[i];
        result.stations.push_back({.name = station.name,
                                   .offset_m = station.offset_m,
                                   .bearing_deg = station.bearing_deg,
                                   .truth = setup.ground_of(station) == setup.earth
                                                ? std::vector<station::SectionLayer>()
                                                : station::section_of(setup.ground_of(station)),
                                   .clock_error_ppm = 1e6 * station::clock_error(plan),
                                   .clock_error_found_ppm = 1e6 * d.measured.clock_error_found,
                                   .spectrum = std::move(d.measured.spectrum),
                                   .inverted_frequencies_hz = std::move(d.inversion.frequencies_hz),
                                   .sections = std::move(d.inversion.sections),
                                   .note = std::move(d.inversion.note)});
        for (station::StationFrequencyResult& m : d.measured.frequencies) {
            m.station_index = static_cast<int>(i);  // of the stations rehearsed
            result.measured.push_back(std::move(m));
        }
    }
    AgreementSum agreement;
    for (const station::StationFrequencyResult& m : result.measured) agreement.add(m);
    result.agreement = agreement.value();
    std::vector<reading::FrequencyResponse> responses;
    for (const double frequency_hz : day.frequencies_hz) responses.push_back(*fields.at(frequency_hz, 1));
    result.answer = question::answer_question(plan, setup, day, responses,
                                              {options.question_runs, options.seed, options.threads});
    result.notes = notes_of(plan, day, result);
    return result;
}

}  // namespace ampturn::rehearse
