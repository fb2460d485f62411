#include "scheduler/setup/receiver_of_plan.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/setup/sampling.hpp"

namespace ampturn::setup {
namespace {

/// Of the wire that loads a dipole: none behind amplifiers at the electrodes.
double loading_capacitance_f(const plan::Receiver& receiver) {
    return receiver.wire_low_pass == plan::WireLowPass::buffered ? 0 : receiver.wire_capacitance_f();
}

}  // namespace

double noise_bandwidth_bins(plan::Window window) {
    return model::receiver::noise_bandwidth_bins(plan::window_of(window));
}

model::receiver::NaturalLevel natural_level_at(const plan::Noise& noise, int hour) {
    const plan::NaturalNoise level =
        noise.natural_by_hour.empty()
            ? noise.natural
            : noise.natural_by_hour.at(static_cast<std::size_t>(((hour % 24) + 24) % 24));
    switch (level) {
        case plan::NaturalNoise::quiet_day:
            return model::receiver::NaturalLevel::quiet_day;
        case plan::NaturalNoise::typical:
            return model::receiver::NaturalLevel::typical;
        case plan::NaturalNoise::summer_night:
            return model::receiver::NaturalLevel::summer_night;
    }
    throw std::logic_error("natural noise unknown");
}

std::complex<double> wire_response_of(const plan::Receiver& receiver, double frequency_hz) {
    if (receiver.wire_low_pass == plan::WireLowPass::corrected) return 1;
    return model::receiver::wire_response(receiver.contact_resistance_ohm, loading_capacitance_f(receiver),
                                          frequency_hz);
}

double wire_corner_hz(const plan::Receiver& receiver) {
    if (receiver.wire_low_pass == plan::WireLowPass::buffered) return HUGE_VAL;
    return 1 / (2 * model::pi * receiver.contact_resistance_ohm * receiver.wire_capacitance_f());
}

model::ground::SensorErrors sensor_errors_of(const plan::Receiver& receiver) {
    constexpr double rad_per_deg = model::pi / 180;
    return {.gain_rel = receiver.calibration_percent / 100,
            .azimuth_rad = rad_per_deg * receiver.azimuth_error_deg,
            .level_rad = rad_per_deg * receiver.level_error_deg};
}

std::optional<plan::Plan> with_flat_coils(const plan::Plan& plan) {
    plan::Plan flat = plan;
    bool any = false;
    const auto flatten = [&](auto& of) {  // a receiver or a set of sensors
        if (of.coil == plan::Coil::custom) return;
        any = true;
        of.coil = plan::Coil::custom;
        of.coil_a_pt = 0;
        of.coil_b_pt_per_hz = 0;
    };
    flatten(flat.receiver);
    for (plan::SensorSet& set : flat.sensor_sets)
        if (set.coil) flatten(set);
    if (!any) return std::nullopt;
    return flat;
}

model::receiver::NoiseAt noise_at_station(const plan::Plan& plan, const plan::Station& station, int hour,
                                          double frequency_hz, double surface_impedance_ohm) {
    const plan::Receiver receiver = plan::receiver_of(plan, station);
    const plan::Noise& noise = plan.noise;
    const double contact_ohm = receiver.contact_resistance_ohm;
    const bool corrected = receiver.wire_low_pass == plan::WireLowPass::corrected;
    model::receiver::NoiseAt at =
        model::receiver::noise_at({.natural = natural_level_at(noise, hour),
                                   .coil = {.a_pt = receiver.coil_a_pt,
                                            .floor_pt_per_rthz = receiver.coil_floor_pt_per_rthz,
                                            .b_pt_per_hz = receiver.coil_b_pt_per_hz},
                                   .electrodes = {.contact_resistance_ohm = contact_ohm,
                                                  .wire_capacitance_f = loading_capacitance_f(receiver),
                                                  .low_pass_divided_out = corrected,
                                                  .spacing_m = receiver.dipole_m,
                                                  .amplifier_v_per_rthz = receiver.amplifier_v_per_rthz,
                                                  .amplifier_a_per_rthz = receiver.amplifier_a_per_rthz},
                                   .mains = {.frequency_hz = noise.mains_hz,
                                             .fundamental_b_t = mains_b_t(plan, station),
                                             .weak_grid = noise.weak_grid,
                                             .orders = noise.mains_orders}},
                                  frequency_hz, surface_impedance_ohm);
    const double wire_power = std::norm(wire_response_of(receiver, frequency_hz));
    if (const plan::NaturalSpectrum* own = plan::natural_spectrum_of(plan, station)) {
        const plan::NaturalSpectrum& points = *own;
        const model::receiver::Spectrum spectrum(points.frequency_hz, points.b_pt_per_rthz,
                                                 noise.spectrum_interpolation == plan::Interpolation::linear
                                                     ? model::receiver::Spectrum::Interpolation::linear
                                                     : model::receiver::Spectrum::Interpolation::log_log);
        if (!spectrum.covers(frequency_hz))
            throw plan.error(
                plan::spectrum_key_of(plan, station),
                fmt::format("{} has no value at {:g} Hz", plan::spectrum_csv_of(plan, station), frequency_hz),
                fmt::format("points from {:g} to {:g} Hz only", points.frequency_hz.front(),
                            points.frequency_hz.back()));
        const double h = 1e-12 * spectrum.at(frequency_hz) / model::mu0_h_per_m;
        at.h.natural = h * h;
        at.e.natural = h * h * surface_impedance_ohm * surface_impedance_ohm * wire_power;
    }
    plan::each_interferer(plan, station, [&](const plan::Interferer& i) {
        if (!(i.b_nt > 0 && i.half_width_hz > 0)) return;
        // Where it comes from is not known: half of its power in each axis.
        const double h_rms = 1e-9 * i.b_nt / model::mu0_h_per_m;
        const double h =
            0.5 * h_rms * h_rms *
            model::receiver::keyed_carrier_density_per_hz(i.half_width_hz, frequency_hz - i.frequency_hz);
        at.h.mains += h;
        at.e.mains += h * surface_impedance_ohm * surface_impedance_ohm * wire_power;
    });
    if (const std::optional<double> azimuth_deg = plan::natural_azimuth_deg_of(plan, station)) {
        const double cosine = std::cos(*azimuth_deg * model::pi / 180), along = noise.natural_along_fraction;
        at.natural_north = 2 * (along * cosine * cosine + (1 - along) * (1 - cosine * cosine));
        at.natural_east = 2 - at.natural_north;
    }
    const double power = noise.natural_factor * noise.natural_factor;
    at.h.natural *= power;
    at.e.natural *= power;
    at.h.sensor += model::receiver::rounding_psd(1e-9 * receiver.b_full_scale_nt / model::mu0_h_per_m,
                                                 receiver.adc_bits, receiver.sample_rate_hz);
    // What is divided out of the records is divided out of their rounding, too.
    const double divided_out = corrected ? std::norm(model::receiver::wire_response(
                                               contact_ohm, loading_capacitance_f(receiver), frequency_hz))
                                         : 1;
    at.e.sensor += model::receiver::rounding_psd(receiver.e_full_scale_v / receiver.dipole_m,
                                                 receiver.adc_bits, receiver.sample_rate_hz) /
                   divided_out;
    return at;
}

}  // namespace ampturn::setup
