#include "scheduler/setup/receiver_of_plan.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"

namespace ampturn::plan {

double noise_bandwidth_bins(Window window) { return model::window_figures(window_of(window)).enbw_bins; }

model::NaturalLevel natural_level_at(const Noise& noise, int hour) {
    const NaturalNoise level =
        noise.natural_by_hour.empty()
            ? noise.natural
            : noise.natural_by_hour.at(static_cast<std::size_t>(((hour % 24) + 24) % 24));
    switch (level) {
        case NaturalNoise::quiet_day:
            return model::NaturalLevel::quiet_day;
        case NaturalNoise::typical:
            return model::NaturalLevel::typical;
        case NaturalNoise::summer_night:
            return model::NaturalLevel::summer_night;
    }
    throw std::logic_error("natural noise unknown");
}

model::NoiseAt noise_at_station(const Plan& plan, const Station& station, int hour, double frequency_hz,
                                double surface_impedance_ohm) {
    const Receiver& receiver = plan.receiver;
    const Noise& noise = plan.noise;
    model::NoiseAt at = model::noise_at(
        {.natural = natural_level_at(noise, hour),
         .coil = {.a_pt = receiver.coil_a_pt,
                  .floor_pt_per_rthz = receiver.coil_floor_pt_per_rthz,
                  .b_pt_per_hz = receiver.coil_b_pt_per_hz},
         .electrodes = {.contact_resistance_ohm =
                            station.contact_resistance_ohm.value_or(receiver.contact_resistance_ohm),
                        .spacing_m = receiver.dipole_m,
                        .amplifier_v_per_rthz = receiver.amplifier_v_per_rthz,
                        .amplifier_a_per_rthz = receiver.amplifier_a_per_rthz},
         .mains = {.frequency_hz = noise.mains_hz,
                   .fundamental_b_t = 1e-9 * station.mains_b_nt.value_or(noise.mains_b_nt),
                   .weak_grid = noise.weak_grid,
                   .orders = noise.mains_orders}},
        frequency_hz, surface_impedance_ohm);
    if (noise.spectrum) {
        const NaturalSpectrum& points = *noise.spectrum;
        const model::Spectrum spectrum(points.frequency_hz, points.b_pt_per_rthz,
                                       noise.spectrum_interpolation == Interpolation::linear
                                           ? model::Spectrum::Interpolation::linear
                                           : model::Spectrum::Interpolation::log_log);
        if (!spectrum.covers(frequency_hz))
            throw plan.error("noise.spectrum_csv",
                             fmt::format("{} has no value at {:g} Hz", noise.spectrum_csv, frequency_hz),
                             fmt::format("points from {:g} to {:g} Hz only", points.frequency_hz.front(),
                                         points.frequency_hz.back()));
        const double h = 1e-12 * spectrum.at(frequency_hz) / model::mu0_h_per_m;
        at.h.natural = h * h;
        at.e.natural = h * h * surface_impedance_ohm * surface_impedance_ohm;
    }
    for (const Interferer& i : noise.interferers) {
        if (!(i.b_nt > 0 && i.half_width_hz > 0)) continue;
        // Where it comes from is not known: half of its power in each axis.
        const double h_rms = 1e-9 * i.b_nt / model::mu0_h_per_m;
        const double h = 0.5 * h_rms * h_rms *
                         model::keyed_carrier_density_per_hz(i.half_width_hz, frequency_hz - i.frequency_hz);
        at.h.mains += h;
        at.e.mains += h * surface_impedance_ohm * surface_impedance_ohm;
    }
    const double power = noise.natural_factor * noise.natural_factor;
    at.h.natural *= power;
    at.e.natural *= power;
    return at;
}

}  // namespace ampturn::plan
