#include "scheduler/rehearse/station/station.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/rehearse/process/transfer.hpp"
#include "scheduler/rehearse/station/drawn_sensors.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::station {

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
    std::array<BandPieces, 2> natural;
    std::string why_not;

    void add(const StepMeasured& step) {
        energy_wh += step.sent.energy_wh;
        hour = step.hour;
        sample_rate_hz = step.sample_rate_hz;
        record_s = step.record_s;
        clipped += step.clipped;
        if (!step.why_not.empty()) why_not = step.why_not;
        if (step.lines.empty()) return;
        const bool of_b = step.sent.loop == model::loop::LoopSelection::b;
        process::LineRecords& lines = of_b ? b : a;
        lines.insert(lines.end(), step.lines.begin(), step.lines.end());
        (of_b ? sent_b : sent_a)
            .add(step.sent.moment_a_m2, step.record_s * static_cast<double>(step.lines.size()));
        for (std::size_t i = 0; i < natural.size(); ++i) {
            natural[i].band = step.natural[i].band;
            natural[i].pieces.insert(natural[i].pieces.end(), step.natural[i].pieces.begin(),
                                     step.natural[i].pieces.end());
        }
    }
};

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
    const Complex plane_ohm = response.plane_impedance_ohm[static_cast<std::size_t>(station_index)];
    out.plane_resistivity_ohm_m = resistivity(plane_ohm, frequency_hz);
    out.plane_phase_deg = model::ground::impedance_phase_deg(plane_ohm);
    out.energy_wh = accumulated.energy_wh;
    out.sample_rate_hz = accumulated.sample_rate_hz;
    out.record_s = accumulated.record_s;
    out.records_a = static_cast<int>(accumulated.a.size());
    out.records_b = static_cast<int>(accumulated.b.size());
    out.dwell_a_s = accumulated.sent_a.dwell_s;
    out.dwell_b_s = accumulated.sent_b.dwell_s;
    out.clipped_samples = accumulated.clipped;
    const model::ground::LayeredEarth& ground =
        rehearsal.setup.ground_of(rehearsal.plan.stations[static_cast<std::size_t>(station_index)]);
    for (const BandPieces& beside : accumulated.natural) {
        if (beside.pieces.size() < 4) continue;
        try {
            out.natural.push_back(natural_point(ground, beside.band, beside.pieces));
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
            drawn_sensors(rehearsal.plan.receiver, rehearsal.seed, station_index,
                          rehearsal.sensor_sets[static_cast<std::size_t>(station_index)], frequency_index);
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

reading::ReadingInput predicted_reading(const plan::Plan& plan, const reading::FrequencyResponse& response,
                                        int station_index, int hour, const reading::Transmission& sent_a,
                                        const reading::Transmission& sent_b) {
    const auto s = static_cast<std::size_t>(station_index);
    const model::receiver::NoiseAt noise = setup::noise_at_station(
        plan, plan.stations[s], hour, response.frequency_hz, std::abs(response.plane_impedance_ohm[s]));
    reading::ReadingInput input = reading::reading_input(plan, response, s, sent_a, sent_b, noise);
    input.plane_waves = reading::PlaneWaves::natural_field_and_mains;
    input.sensors = {};  // they are drawn, and counted beside the noise
    return input;
}

StationMeasured station_measured(const Rehearsal& rehearsal, int station_index,
                                 std::span<const StepMeasured> steps) {
    std::vector<Accumulated> accumulated(rehearsal.day.frequencies_hz.size());
    StationMeasured out{};
    for (const StepMeasured& step : steps) {
        accumulated[step.sent.frequency_index].add(step);
        out.spectrum.insert(out.spectrum.end(), step.spectrum.begin(), step.spectrum.end());
    }
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
