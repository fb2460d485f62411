#include "scheduler/reading/tensor_reading.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "model/ground/plane_wave_noise.hpp"

namespace ampturn::reading {
namespace {

/// Fields of a moment as the records hold them.
model::ground::HorizontalFields recorded(const model::ground::HorizontalFields& f, double moment,
                                         std::complex<double> wire_response) {
    return {f.ex_v_per_m * wire_response * moment, f.ey_v_per_m * wire_response * moment,
            f.hx_a_per_m * moment, f.hy_a_per_m * moment};
}

void add(model::ground::TensorVariance& sum, const model::ground::TensorVariance& part) {
    sum.xx += part.xx;
    sum.xy += part.xy;
    sum.yx += part.yx;
    sum.yy += part.yy;
}

/// What the sensors add to the variances of a tensor found from both loops.
model::ground::TensorVariance sensor_variance_of(const ReadingInput& input,
                                                 const model::ground::ImpedanceTensor& impedance) {
    const model::ground::Tipper tipper = tipper_of(input);
    return model::ground::sensor_variance(impedance, tipper.x, tipper.y, input.sensors);
}

/// Of the densities of each channel.
model::ground::HorizontalVariance channel_variances(const model::ground::HorizontalVariance& psd,
                                                    double enbw_bins, double dwell_s) {
    return {.ex = amplitude_variance(psd.ex, enbw_bins, dwell_s),
            .ey = amplitude_variance(psd.ey, enbw_bins, dwell_s),
            .hx = amplitude_variance(psd.hx, enbw_bins, dwell_s),
            .hy = amplitude_variance(psd.hy, enbw_bins, dwell_s)};
}

double local_psd(const model::receiver::NoisePsd& psd, PlaneWaves waves) {
    return waves == PlaneWaves::natural_field ? psd.mains + psd.sensor : psd.sensor;
}

double plane_wave_psd(const model::receiver::NoisePsd& psd, PlaneWaves waves) {
    return waves == PlaneWaves::natural_field ? psd.natural : psd.natural + psd.mains;
}

}  // namespace

void Transmission::add(double moment_a_m2, double added_dwell_s) {
    if (!(added_dwell_s > 0)) return;
    const double energy =
        moment_a_m2_peak * moment_a_m2_peak * dwell_s + moment_a_m2 * moment_a_m2 * added_dwell_s;
    dwell_s += added_dwell_s;
    moment_a_m2_peak = std::sqrt(energy / dwell_s);
}

double amplitude_variance(double psd, double enbw_bins, double dwell_s) {
    return 2 * psd * enbw_bins / dwell_s;
}

model::ground::SoundingPoint TensorReading::xy(NoiseView view) const {
    return model::ground::sounding_xy(in(view), frequency_hz);
}
model::ground::SoundingPoint TensorReading::yx(NoiseView view) const {
    return model::ground::sounding_yx(in(view), frequency_hz);
}
model::ground::PlaneWaveBias TensorReading::bias_xy() const {
    return model::ground::plane_wave_bias(xy(), plane_impedance_ohm, frequency_hz);
}
model::ground::PlaneWaveBias TensorReading::bias_yx() const {
    return model::ground::plane_wave_bias(yx(), plane_impedance_ohm, frequency_hz);
}

model::ground::Tipper tipper_of(const ReadingInput& input) {
    const double moment_a = input.sent_a.moment_a_m2_peak, moment_b = input.sent_b.moment_a_m2_peak;
    return model::ground::tipper_of(
        recorded(input.a.horizontal, moment_a, input.wire_response), moment_a * input.a.hz_a_per_m,
        recorded(input.b.horizontal, moment_b, input.wire_response), moment_b * input.b.hz_a_per_m);
}

TensorReading read_tensor(const ReadingInput& input) {
    TensorReading out{
        .frequency_hz = input.frequency_hz,
        .both_sent = input.no_record == NoRecord::none && input.sent_a.sent() && input.sent_b.sent(),
        .plane_impedance_ohm = input.plane_impedance_ohm,
        .uncorrelated = {},
        .correlated = {},
        .sensors = {}};
    if (!out.both_sent) {
        out.uncorrelated = out.correlated =
            model::ground::estimate_tensor(recorded(input.a.horizontal, 1, input.wire_response),
                                           recorded(input.b.horizontal, 1, input.wire_response), {}, {});
        return out;
    }
    const double moment_a = input.sent_a.moment_a_m2_peak, moment_b = input.sent_b.moment_a_m2_peak;
    const auto a = recorded(input.a.horizontal, moment_a, input.wire_response),
               b = recorded(input.b.horizontal, moment_b, input.wire_response);
    const auto all = [&](const Transmission& sent) {
        return channel_variances({.ex = input.noise.e_north(),
                                  .ey = input.noise.e_east(),
                                  .hx = input.noise.h_north(),
                                  .hy = input.noise.h_east()},
                                 input.window_enbw_bins, sent.dwell_s);
    };
    const auto local = [&](const Transmission& sent) {
        const double e = local_psd(input.noise.e, input.plane_waves),
                     h = local_psd(input.noise.h, input.plane_waves);
        return channel_variances({.ex = e, .ey = e, .hx = h, .hy = h}, input.window_enbw_bins, sent.dwell_s);
    };
    const auto plane_wave = [&](const Transmission& sent) {
        return amplitude_variance(plane_wave_psd(input.noise.h, input.plane_waves), input.window_enbw_bins,
                                  sent.dwell_s);
    };
    out.uncorrelated = model::ground::estimate_tensor(a, b, all(input.sent_a), all(input.sent_b));
    out.correlated =
        model::ground::estimate_tensor_in_plane_noise(a, b, local(input.sent_a), local(input.sent_b),
                                                      {plane_wave(input.sent_a), plane_wave(input.sent_b),
                                                       input.noise.natural_north, input.noise.natural_east},
                                                      input.plane_impedance_ohm * input.wire_response);
    out.sensors = sensor_variance_of(input, out.uncorrelated.impedance);
    add(out.uncorrelated.variance, out.sensors);
    add(out.correlated.variance, out.sensors);
    return out;
}

std::optional<TensorReading> read_tensor_if_any(const ReadingInput& input) {
    try {
        return read_tensor(input);
    } catch (const std::domain_error&) {
        return std::nullopt;
    }
}

OneSecondReadings read_one_second_of_each(ReadingInput input) {
    constexpr double noiseless = std::numeric_limits<double>::infinity();
    const model::ground::SensorErrors sensors = std::exchange(input.sensors, {});
    const auto with_dwells = [&](double a_s, double b_s) {
        input.sent_a.dwell_s = a_s;
        input.sent_b.dwell_s = b_s;
        return read_tensor(input);
    };
    OneSecondReadings out{.a = with_dwells(1, noiseless), .b = with_dwells(noiseless, 1), .sensors = {}};
    input.sensors = sensors;
    if (out.a.both_sent) out.sensors = sensor_variance_of(input, out.a.uncorrelated.impedance);
    return out;
}

}  // namespace ampturn::reading
