#include "scheduler/rehearse/station/station_noise.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>

#include "model/base/constants.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::station {
namespace {

/// Long enough for the shape of the noise, short against the step.
std::size_t block_length(const record::StepRecording& step) {
    std::size_t length = 2048;
    while (length > 512 && length > record::sample_count(step) / 4) length /= 2;
    return length;
}

record::Impedance recorded_impedance(const Rehearsal& rehearsal, const plan::Station& station) {
    const plan::Receiver receiver = plan::receiver_of(rehearsal.plan, station);
    const model::ground::LayeredEarth& ground = rehearsal.setup.ground_of(station);
    return [&ground, receiver](double f) {
        return model::ground::plane_wave_impedance_ohm(ground, f) * setup::wire_response_of(receiver, f);
    };
}

}  // namespace

record::Densities densities_at(const plan::Plan& plan, const model::ground::LayeredEarth& earth,
                               const plan::Station& station, int hour) {
    auto without_mains = std::make_shared<plan::Plan>(plan);
    without_mains->noise.mains_hz = 0;
    without_mains->receiver.adc_bits = 32;  // the records are rounded by the converter itself
    auto without_spectrum =
        std::make_shared<plan::Plan>(*without_mains);  // where a spectrum of the plan's own ends
    without_spectrum->noise.spectrum.reset();
    without_spectrum->noise.natural_factor = 0;
    auto by_the_model = std::make_shared<plan::Station>(station);
    by_the_model->spectrum.reset();
    return [=](double frequency_hz) -> record::DensityAt {
        const plan::NaturalSpectrum* own = plan::natural_spectrum_of(*without_mains, station);
        const bool covered = own == nullptr || (frequency_hz >= own->frequency_hz.front() &&
                                                frequency_hz <= own->frequency_hz.back());
        const double z = std::abs(model::ground::plane_wave_impedance_ohm(earth, frequency_hz));
        const model::receiver::NoiseAt at =
            setup::noise_at_station(covered ? *without_mains : *without_spectrum,
                                    covered ? station : *by_the_model, hour, frequency_hz, z);
        return {.natural_h = at.h.natural, .sensor_h = at.h.sensor, .sensor_e = at.e.sensor};
    };
}

StationNoise::StationNoise(const Rehearsal& rehearsal, int station_index)
    : rehearsal_(rehearsal),
      station_(rehearsal.plan.stations[static_cast<std::size_t>(station_index)]),
      stream_(run::combine(run::stream_of("station"), static_cast<std::uint64_t>(station_index))),
      impedance_(recorded_impedance(rehearsal, station_)),
      carriers_(record::keyed_carriers(plan::interferers_of(rehearsal.plan, station_), impedance_,
                                       rehearsal.seed, stream_)) {
    if (!plan::natural_azimuth_deg_of(rehearsal.plan, station_)) return;
    const std::string key = station_.natural_azimuth_deg
                                ? fmt::format("station[{}].natural_azimuth_deg", station_index + 1)
                                : "noise.natural_azimuth_deg";
    throw rehearsal.plan.error(key, "a direction",
                               "none in a rehearsal: its natural field comes from all sides alike");
}

int StationNoise::level_hour(int hour) const {
    return rehearsal_.plan.noise.natural_by_hour.empty() ? 0 : hour;
}

const record::Densities& StationNoise::densities(int hour) {
    record::Densities& kept = densities_[level_hour(hour)];
    if (!kept) kept = densities_at(rehearsal_.plan, rehearsal_.setup.ground_of(station_), station_, hour);
    return kept;
}

const record::MainsWave& StationNoise::mains(double rate_hz) {
    const plan::Plan& plan = rehearsal_.plan;
    auto& kept = mains_[rate_hz];
    if (!kept)
        kept = std::make_unique<record::MainsWave>(
            model::receiver::Mains{.frequency_hz = plan.noise.mains_hz,
                                   .fundamental_b_t = setup::mains_b_t(plan, station_),
                                   .weak_grid = plan.noise.weak_grid,
                                   .orders = plan.noise.mains_orders},
            impedance_, rate_hz, rehearsal_.seed, stream_);
    return *kept;
}

StationNoise::Converters StationNoise::converters(const record::StepRecording& step) const {
    const plan::Receiver receiver = plan::receiver_of(rehearsal_.plan, station_);
    return {.e = model::receiver::adc(receiver.e_full_scale_v / receiver.dipole_m, receiver.adc_bits,
                                      step.sampling.decimation),
            .h = model::receiver::adc(1e-9 * receiver.b_full_scale_nt / model::mu0_h_per_m, receiver.adc_bits,
                                      step.sampling.decimation)};
}

record::Surroundings StationNoise::at(const record::StepRecording& step, int hour) {
    const double rate_hz = step.sampling.sample_rate_hz;
    const std::size_t block = block_length(step);
    const Converters adc = converters(step);
    const std::lock_guard lock(mutex_);
    auto& noise = noises_[{rate_hz, block, level_hour(hour)}];
    if (!noise)
        noise = std::make_unique<record::NoiseShape>(
            record::noise_shape(densities(hour), impedance_, rate_hz, block, {}));
    return {.noise = noise.get(),
            .mains = &mains(rate_hz),
            .carriers = carriers_,
            .adc_e = adc.e,
            .adc_h = adc.h,
            .with_vertical = rehearsal_.with_vertical || rehearsal_.plan.receiver.vertical_coil,
            .seed = rehearsal_.seed};
}

process::LineSurroundings StationNoise::about_line(const record::StepRecording& step, int hour) {
    const Converters adc = converters(step);
    const std::lock_guard lock(mutex_);
    return {.density = densities(hour)(step.frequency_hz),
            .impedance_ohm = impedance_(step.frequency_hz),
            .impulses = {},
            .mains = &mains(step.sampling.sample_rate_hz),
            .carriers = carriers_,
            .adc_e = adc.e,
            .adc_h = adc.h,
            .seed = rehearsal_.seed};
}

}  // namespace ampturn::rehearse::station
