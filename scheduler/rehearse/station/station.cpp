#include "scheduler/rehearse/station/station.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/rehearse/process/step_processor.hpp"
#include "scheduler/rehearse/process/transfer.hpp"
#include "scheduler/rehearse/record/recording_file.hpp"
#include "scheduler/rehearse/station/drawn_sensors.hpp"
#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::station {

using record::ex;
using record::ey;
using record::hx;
using record::hy;

namespace {

using Complex = std::complex<double>;

constexpr std::size_t jackknife_groups = 40;  // per polarisation

Bars bars_of(double variance, Complex z) {
    const double s = std::sqrt(variance) / std::abs(z);
    return {.resistivity_percent = 100 * std::sqrt(2.0) * s,
            .phase_deg = s / std::sqrt(2.0) * 180 / model::pi};
}

double resistivity(Complex z, double frequency_hz) {
    return model::ground::apparent_resistivity_ohm_m(z, frequency_hz);
}

struct PlannedVariance {
    double correlated, upper, sensors;
};

/// Of an element: as measured, noise-free, and noise-free by the rehearsal's sensors.
struct Impedances {
    Complex measured, truth, recordable;
};

CurvePoint curve_point(const Impedances& of, double variance, const PlannedVariance& planned,
                       double coherence2, double frequency_hz) {
    const Complex z = of.measured, truth = of.truth;
    return {.impedance_ohm = z,
            .true_impedance_ohm = truth,
            .recordable_impedance_ohm = of.recordable,
            .variance_ohm2 = variance,
            .planned_variance_ohm2 = planned.correlated,
            .resistivity_ohm_m = resistivity(z, frequency_hz),
            .phase_deg = model::ground::impedance_phase_deg(z),
            .true_resistivity_ohm_m = resistivity(truth, frequency_hz),
            .true_phase_deg = model::ground::impedance_phase_deg(truth),
            .jackknife = bars_of(variance, z),
            .planned = bars_of(planned.correlated, truth),
            .sensors = bars_of(planned.sensors, truth),
            .planned_upper = bars_of(planned.upper, truth),
            .coherence2 = coherence2};
}

/// What the steps of one frequency have given so far.
struct Accumulated {
    process::LineRecords a, b;
    reading::Transmission sent_a, sent_b;  // whole records only
    int hour = 0;
    double energy_wh = 0, sample_rate_hz = 0, record_s = 0;
    std::uint64_t clipped = 0;
    std::vector<process::NaturalBand> bands;
    std::vector<std::vector<process::CrossSpectra>> natural;  // band by band
    std::string why_not;
};

/// E over H of a plane wave as a station's records have it: the ground's, and what the wire makes of E.
record::Impedance recorded_impedance(const Rehearsal& rehearsal, const plan::Station& station) {
    const double contact_ohm = setup::contact_resistance_of(rehearsal.plan, station);
    return [&rehearsal, contact_ohm](double f) {
        return model::ground::plane_wave_impedance_ohm(rehearsal.earth, f) *
               setup::wire_response_of(rehearsal.plan.receiver, contact_ohm, f);
    };
}

/// Noise shapes and mains by sample rate, kept while a station is worked on.
class StationNoise {
  public:
    StationNoise(const Rehearsal& rehearsal, int station_index)
        : rehearsal_(rehearsal),
          station_(rehearsal.plan.stations[static_cast<std::size_t>(station_index)]),
          stream_(run::combine(run::stream_of("station"), static_cast<std::uint64_t>(station_index))),
          carriers_(record::keyed_carriers(rehearsal.plan.noise, recorded_impedance(rehearsal, station_),
                                           rehearsal.seed, stream_)) {}

    record::Surroundings at(const record::StepRecording& step, int hour) {
        const plan::Plan& plan = rehearsal_.plan;
        const double rate_hz = step.sampling.sample_rate_hz;
        const std::size_t block = block_length(step);
        // Levels differ by hour only where the plan says so.
        const int level_hour = plan.noise.natural_by_hour.empty() ? 0 : hour;
        const record::Impedance impedance = recorded_impedance(rehearsal_, station_);
        auto& noise = noises_[{rate_hz, block, level_hour}];
        if (!noise)
            noise = std::make_unique<record::NoiseShape>(record::noise_shape(
                densities_at(plan, rehearsal_.earth, station_, hour), impedance, rate_hz, block, {}));
        auto& mains = mains_[rate_hz];
        if (!mains)
            mains = std::make_unique<record::MainsWave>(
                model::receiver::Mains{.frequency_hz = plan.noise.mains_hz,
                                       .fundamental_b_t = setup::mains_b_t(plan, station_),
                                       .weak_grid = plan.noise.weak_grid,
                                       .orders = plan.noise.mains_orders},
                impedance, rate_hz, rehearsal_.seed, stream_);
        const plan::Receiver& receiver = plan.receiver;
        return {.noise = noise.get(),
                .mains = mains.get(),
                .carriers = carriers_,
                .adc_e = model::receiver::adc(receiver.e_full_scale_v / receiver.dipole_m, receiver.adc_bits,
                                              step.sampling.decimation),
                .adc_h = model::receiver::adc(1e-9 * receiver.b_full_scale_nt / model::mu0_h_per_m,
                                              receiver.adc_bits, step.sampling.decimation),
                .with_vertical = rehearsal_.with_vertical || receiver.vertical_coil,
                .seed = rehearsal_.seed};
    }

  private:
    /// Long enough for the shape of the noise, short against the step.
    static std::size_t block_length(const record::StepRecording& step) {
        std::size_t length = 2048;
        while (length > 512 && length > record::sample_count(step) / 4) length /= 2;
        return length;
    }

    struct Key {
        double rate_hz;
        std::size_t block;
        int hour;
        auto operator<=>(const Key&) const = default;
    };
    const Rehearsal& rehearsal_;
    const plan::Station& station_;
    std::uint64_t stream_;
    std::vector<record::KeyedCarrier> carriers_;
    std::map<Key, std::unique_ptr<record::NoiseShape>> noises_;
    std::map<double, std::unique_ptr<record::MainsWave>> mains_;
};

/// Bands below and above the line, free of it and of mains.
std::vector<process::NaturalBand> bands_beside(const plan::Plan& plan, const record::StepRecording& step) {
    std::vector<process::NaturalBand> bands;
    for (const auto& [low, high] : {std::pair{0.75, 0.95}, std::pair{1.05, 1.33}}) {
        const double high_hz = std::min(high * step.frequency_hz, 0.45 * step.sampling.sample_rate_hz);
        if (high_hz <= low * step.frequency_hz) continue;
        process::NaturalBand band = process::natural_band({.sample_rate_hz = step.sampling.sample_rate_hz,
                                                           .record_length = step.sampling.record_length,
                                                           .window = plan.receiver.window,
                                                           .line_hz = step.frequency_hz,
                                                           .low_hz = low * step.frequency_hz,
                                                           .high_hz = high_hz,
                                                           .mains_hz = plan.noise.mains_hz,
                                                           .weak_grid = plan.noise.weak_grid,
                                                           .mains_orders = plan.noise.mains_orders});
        if (band.bins.size() >= 4) bands.push_back(std::move(band));
    }
    return bands;
}

/// Adds what lies within a factor about the line to the station's spectrum: means over
/// 1/12 octaves, and the line itself.
void add_spectrum(const process::StepProcessor& processor, const record::StepRecording& step,
                  plan::Window window, std::vector<SpectrumPoint>& spectrum) {
    const process::StepSpectra& spectra = processor.spectra();
    const double bin_hz = step.sampling.sample_rate_hz / static_cast<double>(step.sampling.record_length);
    std::array<std::vector<double>, 4> density;
    for (int c = 0; c < 4; ++c) density[static_cast<std::size_t>(c)] = spectra.density(c);
    const auto root_mean = [&](std::size_t first, std::size_t x, std::size_t y, std::size_t last) {
        double sum = 0;
        for (std::size_t k = first; k < last; ++k) sum += density[x][k] + density[y][k];
        return std::sqrt(sum / (2.0 * static_cast<double>(last - first)));
    };
    const auto bin_at = [&](double f) { return static_cast<std::size_t>(std::lround(f / bin_hz)); };
    const double lobe_hz = (window == plan::Window::rectangular ? 2 : 5) * bin_hz;
    const double highest_hz = std::min(1.25 * step.frequency_hz, 0.48 * step.sampling.sample_rate_hz);
    double next_hz = 0.8 * step.frequency_hz;
    while (next_hz < highest_hz) {
        const double low = next_hz, high = std::min(low * std::exp2(1.0 / 12), highest_hz);
        next_hz *= std::exp2(1.0 / 12);
        if (low - lobe_hz < step.frequency_hz && step.frequency_hz < high + lobe_hz) continue;
        const std::size_t first = std::max<std::size_t>(1, bin_at(low)), last = bin_at(high);
        if (last <= first) continue;
        spectrum.push_back({.frequency_hz = std::sqrt(low * high),
                            .e_v_per_m_rthz = root_mean(first, ex, ey, last),
                            .h_a_per_m_rthz = root_mean(first, hx, hy, last),
                            .line = false});
    }
    const std::size_t line = bin_at(step.frequency_hz);
    spectrum.push_back({.frequency_hz = step.frequency_hz,
                        .e_v_per_m_rthz = root_mean(line, ex, ey, line + 1),
                        .h_a_per_m_rthz = root_mean(line, hx, hy, line + 1),
                        .line = true});
}

NaturalPoint natural_point(const model::ground::LayeredEarth& earth, const process::NaturalBand& band,
                           const std::vector<process::CrossSpectra>& pieces) {
    const process::TransferFit low =
        process::fit_transfer(process::grouped(process::referenced_to_h(pieces), jackknife_groups), {});
    const process::TransferFit high =
        process::fit_transfer(process::grouped(process::referenced_to_e(pieces), jackknife_groups), {});
    // Both off-diagonal elements measure the same layered ground: their mean.
    const auto mean = [](const process::TransferFit& fit) {
        return 0.5 * (fit.impedance.xy_ohm - fit.impedance.yx_ohm);
    };
    const Complex truth = model::ground::plane_wave_impedance_ohm(earth, band.centre_hz);
    return {.centre_hz = band.centre_hz,
            .resistivity_low_ohm_m = resistivity(mean(low), band.centre_hz),
            .resistivity_high_ohm_m = resistivity(mean(high), band.centre_hz),
            .phase_deg = model::ground::impedance_phase_deg(mean(low)),
            .jackknife = bars_of((low.variance.xy + low.variance.yx) / 4, mean(low)),
            .coherence2 = 0.5 * (low.coherence2_x + low.coherence2_y),
            .true_resistivity_ohm_m = resistivity(truth, band.centre_hz),
            .true_phase_deg = model::ground::impedance_phase_deg(truth)};
}

std::string name_of(process::NoTransfer why) {
    switch (why) {
        case process::NoTransfer::one_direction:
            return "magnetic fields of the records do not span two directions: no tensor";
        case process::NoTransfer::too_few_records:
            return "fewer than 2 records of a polarisation: no error bar";
    }
    return {};
}

StationFrequencyResult finish(const Rehearsal& rehearsal, int station_index, std::size_t frequency_index,
                              Accumulated& accumulated) {
    const double frequency_hz = rehearsal.day.frequencies_hz[frequency_index];
    const reading::FrequencyResponse& response = *rehearsal.fields.at(frequency_hz, 1);
    StationFrequencyResult out{};
    out.station_index = station_index;
    out.frequency_index = static_cast<int>(frequency_index);
    out.frequency_hz = frequency_hz;
    for (const setup::TableRow& row : rehearsal.day.table)
        if (row.frequency_hz == frequency_hz) out.mains_clash_order = row.mains_clash_order;
    out.plane_resistivity_ohm_m = resistivity(response.plane_impedance_ohm, frequency_hz);
    out.plane_phase_deg = model::ground::impedance_phase_deg(response.plane_impedance_ohm);
    out.energy_wh = accumulated.energy_wh;
    out.sample_rate_hz = accumulated.sample_rate_hz;
    out.record_s = accumulated.record_s;
    out.records_a = static_cast<int>(accumulated.a.size());
    out.records_b = static_cast<int>(accumulated.b.size());
    out.dwell_a_s = accumulated.sent_a.dwell_s;
    out.dwell_b_s = accumulated.sent_b.dwell_s;
    out.clipped_samples = accumulated.clipped;
    for (std::size_t band = 0; band < accumulated.natural.size(); ++band) {
        if (accumulated.natural[band].size() < 4) continue;
        try {
            out.natural.push_back(
                natural_point(rehearsal.earth, accumulated.bands[band], accumulated.natural[band]));
        } catch (const std::domain_error&) {
            // A band without two directions of field has no tensor: no point of the curve.
        }
    }
    if (accumulated.a.size() < 2 || accumulated.b.size() < 2) {
        out.why_not = !accumulated.why_not.empty() ? accumulated.why_not
                      : accumulated.a.size() < 2   ? "loop A was not sent for two whole records"
                                                   : "loop B was not sent for two whole records";
        return out;
    }
    try {
        const process::TransferFit fit = process::fit_transfer(
            process::grouped(process::line_cross_spectra(accumulated.a, accumulated.b), jackknife_groups),
            {});
        const reading::ReadingInput input =
            predicted_reading(rehearsal.plan, response, station_index, accumulated.hour, accumulated.sent_a,
                              accumulated.sent_b);
        const reading::TensorReading planned = reading::read_tensor(input);
        const model::ground::Tipper tipper = reading::tipper_of(input);
        const model::ground::ImpedanceTensor& truth = planned.uncorrelated.impedance;
        const model::ground::TensorVariance &correlated = planned.correlated.variance,
                                            &upper = planned.uncorrelated.variance;
        const model::ground::SensorsOff off =
            drawn_sensors(rehearsal.plan.receiver, rehearsal.seed, station_index, frequency_index);
        const model::ground::ImpedanceTensor z = recorded_by(off, fit.impedance, tipper),
                                             recordable = recorded_by(off, truth, tipper);
        const model::ground::TensorVariance sensors = model::ground::sensor_variance(
            truth, tipper.x, tipper.y, setup::sensor_errors_of(rehearsal.plan.receiver));
        out.measured = true;
        out.h_condition_number = planned.uncorrelated.h_condition_number;
        out.weight = 0.5 * (fit.weight_x + fit.weight_y);
        out.xy = curve_point({z.xy_ohm, truth.xy_ohm, recordable.xy_ohm}, fit.variance.xy,
                             {correlated.xy, upper.xy, sensors.xy}, fit.coherence2_x, frequency_hz);
        out.yx = curve_point({-z.yx_ohm, -truth.yx_ohm, -recordable.yx_ohm}, fit.variance.yx,
                             {correlated.yx, upper.yx, sensors.yx}, fit.coherence2_y, frequency_hz);
    } catch (const process::NoTransferError& refused) {
        out.why_not = name_of(refused.why());
    } catch (const std::domain_error&) {
        out.why_not = "the two loops give parallel magnetic fields: no tensor";
    }
    return out;
}

/// The files of a step's recording, where the rehearsal keeps them.
std::unique_ptr<record::RecordingFile> kept_recording(const Rehearsal& rehearsal, int station_index,
                                                      const SentStep& sent, const record::StepRecording& step,
                                                      bool with_vertical) {
    if (!rehearsal.keep_directory) return nullptr;
    const plan::Plan& plan = rehearsal.plan;
    return std::make_unique<record::RecordingFile>(
        record::RecordingMetadata{
            .directory = *rehearsal.keep_directory,
            .stem = fmt::format("station{:03}-sweep{}-step{:02}-{}-{:.0f}Hz", station_index + 1,
                                sent.sweep_number, sent.step_number, name_of(sent.loop), step.frequency_hz),
            .plan_path = plan.source.path,
            .plan_crc32 = rehearsal.day.plan_crc32,
            .survey_name = plan.survey.name,
            .station = plan.stations[static_cast<std::size_t>(station_index)].name,
            .invented = plan.survey.invented,
            .seed = rehearsal.seed,
            .loop = sent.loop,
            .moment_a_m2 = sent.moment_a_m2},
        step, with_vertical);
}

/// Why a step gives nothing to process; empty when it does.
std::string without_records(const record::StepRecording& step, double record_s) {
    if (!step.lines.empty() && step.sampling.record_count > 0) return "";
    if (step.lines.empty() || 2 * step.frequency_hz >= step.sampling.sample_rate_hz)
        return fmt::format("line at or above half the sample rate of {:g} Hz", step.sampling.sample_rate_hz);
    return fmt::format("dwell of {:g} s holds no record of {:g} s", step.dwell_s, record_s);
}

/// What the processing made of a step's recording, to what its frequency has.
void add_processed(const process::StepProcessor& processor, const SentStep& sent, Accumulated& g) {
    const double used_s = g.record_s * static_cast<double>(processor.lines().size());
    process::LineRecords& lines = sent.loop == model::loop::LoopSelection::b ? g.b : g.a;
    lines.insert(lines.end(), processor.lines().begin(), processor.lines().end());
    (sent.loop == model::loop::LoopSelection::b ? g.sent_b : g.sent_a).add(sent.moment_a_m2, used_s);
    for (std::size_t band = 0; band < g.bands.size(); ++band) {
        const auto& pieces = processor.spectra().band_pieces(band);
        g.natural[band].insert(g.natural[band].end(), pieces.begin(), pieces.end());
    }
}

/// Synthesises and processes one step.
void gather(const Rehearsal& rehearsal, int station_index, const SentStep& sent, StationNoise& surroundings,
            Accumulated& g, std::vector<SpectrumPoint>& spectrum) {
    const plan::Plan& plan = rehearsal.plan;
    const auto row = static_cast<std::size_t>(sent.step_number - 1);
    const record::StepRecording step =
        recording_of(plan, rehearsal.day, sent, station_index, rehearsal.fields, rehearsal.harmonics[row]);
    g.energy_wh += sent.energy_wh;
    g.hour = static_cast<int>(sent.start_s / 3600) % 24;
    g.sample_rate_hz = step.sampling.sample_rate_hz;
    g.record_s = static_cast<double>(step.sampling.record_length) / step.sampling.sample_rate_hz;
    if (const std::string why_not = without_records(step, g.record_s); !why_not.empty()) {
        g.why_not = why_not;
        return;
    }
    if (g.bands.empty()) {
        g.bands = bands_beside(plan, step);
        g.natural.resize(g.bands.size());
    }
    const bool for_spectrum = sent.loop == model::loop::LoopSelection::a && sent.sweep_number == 1;
    process::StepProcessor processor(
        step, plan.receiver.window, g.bands,
        for_spectrum ? process::StepSpectra::Keep::densities : process::StepSpectra::Keep::bands_only);
    const record::Surroundings around = surroundings.at(step, g.hour);
    const auto kept = kept_recording(rehearsal, station_index, sent, step, around.with_vertical);
    const std::size_t clipped =
        record::synthesise(step, around, [&](const record::ChannelBlock& block, std::size_t first) {
            processor.add(block, first);
            if (kept) kept->add(block, first);
        });
    if (kept) kept->close(clipped);
    g.clipped += clipped;
    if (sent.loop == model::loop::LoopSelection::both) {
        g.why_not = "both loops send at once: one polarisation, no tensor";
        return;
    }
    add_processed(processor, sent, g);
    if (for_spectrum) add_spectrum(processor, step, plan.receiver.window, spectrum);
}

double clock_error_of(const Rehearsal& rehearsal, const std::vector<Accumulated>& accumulated) {
    std::vector<process::TimedLines> timed;
    for (std::size_t f = 0; f < accumulated.size(); ++f)
        for (const process::LineRecords* lines : {&accumulated[f].a, &accumulated[f].b})
            if (!lines->empty()) timed.push_back({rehearsal.day.frequencies_hz[f], lines});
    // The search goes to several times what the plan's clocks are said to be off by.
    const plan::Plan& plan = rehearsal.plan;
    const double limit =
        5e-6 * (std::abs(plan.driver.clock_error_ppm) + std::abs(plan.receiver.clock_error_ppm)) + 1e-7;
    return process::clock_error_from_lines(timed, limit);
}

}  // namespace

Bars with_sensors(const Bars& jackknife, const Bars& sensors) {
    return {.resistivity_percent = std::hypot(jackknife.resistivity_percent, sensors.resistivity_percent),
            .phase_deg = std::hypot(jackknife.phase_deg, sensors.phase_deg)};
}

record::Densities densities_at(const plan::Plan& plan, const model::ground::LayeredEarth& earth,
                               const plan::Station& station, int hour) {
    auto without_mains = std::make_shared<plan::Plan>(plan);
    without_mains->noise.mains_hz = 0;
    without_mains->receiver.adc_bits = 32;  // the records are rounded by the converter itself
    auto without_spectrum =
        std::make_shared<plan::Plan>(*without_mains);  // where a spectrum of the plan's own ends
    without_spectrum->noise.spectrum.reset();
    without_spectrum->noise.natural_factor = 0;
    return [=](double frequency_hz) -> record::DensityAt {
        const auto& own = without_mains->noise.spectrum;
        const bool covered =
            !own || (frequency_hz >= own->frequency_hz.front() && frequency_hz <= own->frequency_hz.back());
        const double z = std::abs(model::ground::plane_wave_impedance_ohm(earth, frequency_hz));
        const model::receiver::NoiseAt at = setup::noise_at_station(
            covered ? *without_mains : *without_spectrum, station, hour, frequency_hz, z);
        return {.natural_h = at.h.natural, .sensor_h = at.h.sensor, .sensor_e = at.e.sensor};
    };
}

reading::ReadingInput predicted_reading(const plan::Plan& plan, const reading::FrequencyResponse& response,
                                        int station_index, int hour, const reading::Transmission& sent_a,
                                        const reading::Transmission& sent_b) {
    const auto s = static_cast<std::size_t>(station_index);
    const model::receiver::NoiseAt noise = setup::noise_at_station(
        plan, plan.stations[s], hour, response.frequency_hz, std::abs(response.plane_impedance_ohm));
    reading::ReadingInput input = reading::reading_input(plan, response, s, sent_a, sent_b, noise);
    input.plane_waves = reading::PlaneWaves::natural_field_and_mains;
    input.sensors = {};  // they are drawn, and counted beside the noise
    return input;
}

StationMeasured measure_station(const Rehearsal& rehearsal, int station_index) {
    StationNoise surroundings(rehearsal, station_index);
    std::vector<Accumulated> accumulated(rehearsal.day.frequencies_hz.size());
    StationMeasured out{};
    for (const SentStep& sent : steps_sent_to(rehearsal.day, station_index))
        gather(rehearsal, station_index, sent, surroundings, accumulated[sent.frequency_index], out.spectrum);
    out.clock_error_found = clock_error_of(rehearsal, accumulated);
    for (std::size_t f = 0; f < accumulated.size(); ++f) {
        process::undo_clock_error(accumulated[f].a, rehearsal.day.frequencies_hz[f], out.clock_error_found);
        process::undo_clock_error(accumulated[f].b, rehearsal.day.frequencies_hz[f], out.clock_error_found);
        out.frequencies.push_back(finish(rehearsal, station_index, f, accumulated[f]));
    }
    std::sort(out.spectrum.begin(), out.spectrum.end(),
              [](const SpectrumPoint& a, const SpectrumPoint& b) { return a.frequency_hz < b.frequency_hz; });
    return out;
}

}  // namespace ampturn::rehearse::station
