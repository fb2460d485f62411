#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/base/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/reading/reading_quality.hpp"

namespace ampturn::reading {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

ChannelSnr snr_of(const ReadingInput& input, const FieldPerMoment& unit, const Transmission& sent) {
    const model::receiver::NoiseAt& noise = input.noise;
    if (!(sent.dwell_s > 0))
        return {.ex = unknown, .ey = unknown, .hx = unknown, .hy = unknown, .hz = unknown};
    const double m2 = sent.moment_a_m2_peak * sent.moment_a_m2_peak;
    const auto over = [&](std::complex<double> field, double psd) {
        return m2 * std::norm(field) / amplitude_variance(psd, input.window_enbw_bins, sent.dwell_s);
    };
    const double wire = std::norm(input.wire_response);
    return {.ex = wire * over(unit.horizontal.ex_v_per_m, noise.e_north()),
            .ey = wire * over(unit.horizontal.ey_v_per_m, noise.e_east()),
            .hx = over(unit.horizontal.hx_a_per_m, noise.h_north()),
            .hy = over(unit.horizontal.hy_a_per_m, noise.h_east()),
            .hz = over(unit.hz_a_per_m, noise.h.total())};
}

void add_signal(const ReadingInput& input, Reading& out) {
    // What both sent at once was sent too, though no tensor comes of it.
    Transmission a = input.sent_a, b = input.sent_b;
    a.add(input.together_a.moment_a_m2_peak, input.together_a.dwell_s);
    b.add(input.together_b.moment_a_m2_peak, input.together_b.dwell_s);
    out.dwell_a_s = a.dwell_s;
    out.dwell_b_s = b.dwell_s;
    out.moment_a_a_m2 = a.moment_a_m2_peak;
    out.moment_b_a_m2 = b.moment_a_m2_peak;
    out.snr_a = snr_of(input, input.a, input.sent_a);
    out.snr_b = snr_of(input, input.b, input.sent_b);
    if (input.recorded_s > 0)
        out.natural_signal_sd_percent =
            natural_sounding_sd_percent(input.noise, input.frequency_hz, input.recorded_s);
}

void add_plane_wave(const ReadingInput& input, Reading& out) {
    out.plane_resistivity_ohm_m =
        model::ground::apparent_resistivity_ohm_m(input.plane_impedance_ohm, input.frequency_hz);
    out.plane_phase_deg = model::ground::impedance_phase_deg(input.plane_impedance_ohm);
    out.offset_over_skin_depth =
        input.offset_m / model::skin_depth_m(out.plane_resistivity_ohm_m, input.frequency_hz);
}

/// Without both loops there is no measurement, hence no error bar; resistivity, phase and bias are the geometry's.
void add_error_bars(const TensorReading& tensor, Reading& out) {
    const double known = tensor.both_sent ? 1 : unknown;
    const model::ground::SoundingPoint xy = tensor.xy(), yx = tensor.yx();
    out.resistivity_sd_xy_percent = known * 100 * xy.resistivity_sd_rel;
    out.resistivity_sd_yx_percent = known * 100 * yx.resistivity_sd_rel;
    out.phase_sd_xy_deg = known * xy.phase_sd_deg;
    out.phase_sd_yx_deg = known * yx.phase_sd_deg;
    const model::ground::SoundingPoint correlated_xy = tensor.xy(NoiseView::correlated),
                                       correlated_yx = tensor.yx(NoiseView::correlated);
    out.correlated_resistivity_sd_xy_percent = known * 100 * correlated_xy.resistivity_sd_rel;
    out.correlated_resistivity_sd_yx_percent = known * 100 * correlated_yx.resistivity_sd_rel;
    out.correlated_phase_sd_xy_deg = known * correlated_xy.phase_sd_deg;
    out.correlated_phase_sd_yx_deg = known * correlated_yx.phase_sd_deg;
}

void add_tensor(const TensorReading& tensor, Reading& out) {
    const model::ground::SoundingPoint xy = tensor.xy(), yx = tensor.yx();
    out.resistivity_xy_ohm_m = xy.apparent_resistivity_ohm_m;
    out.resistivity_yx_ohm_m = yx.apparent_resistivity_ohm_m;
    out.phase_xy_deg = xy.phase_deg;
    out.phase_yx_deg = yx.phase_deg;
    const model::ground::PlaneWaveBias bias_xy = tensor.bias_xy(), bias_yx = tensor.bias_yx();
    out.bias_xy_percent = 100 * bias_xy.resistivity_rel;
    out.bias_yx_percent = 100 * bias_yx.resistivity_rel;
    out.bias_xy_deg = bias_xy.phase_deg;
    out.bias_yx_deg = bias_yx.phase_deg;
    out.h_condition_number = tensor.uncorrelated.h_condition_number;
}

std::string error_text(const ErrorBar& error, const plan::Targets& targets) {
    return fmt::format("error bar {} % and {} deg (target {:g} % and {:g} deg)",
                       base::brief(error.resistivity_percent, 2), base::brief(error.phase_deg, 2),
                       targets.rho_error_percent, targets.phase_error_deg);
}

std::string bias_text(const model::ground::PlaneWaveBias& bias) {
    return fmt::format("bias {} % and {} deg", base::signed_brief(100 * bias.resistivity_rel, 2),
                       base::signed_brief(bias.phase_deg, 2));
}

std::string bias_text(const model::ground::PlaneWaveBias& bias, double skin_depths,
                      const plan::Targets& targets) {
    return fmt::format("{} at {:.1f} skin depths (tolerance {:g} % and {:g} deg)", bias_text(bias),
                       skin_depths, targets.rho_bias_percent, targets.phase_bias_deg);
}

/// Why there is no measurement of something that was sent; empty when there is.
std::string no_record_text(NoRecord why) {
    switch (why) {
        case NoRecord::none:
            return "";
        case NoRecord::dwell_too_short:
            return "the dwell holds no whole record";
        case NoRecord::clipped:
            return "mains, interferers and line together are beyond the converter's range";
    }
    return "";
}

std::string not_sent_text(const ReadingInput& input) {
    if (input.together_a.dwell_s > 0)
        return "loops A and B were sent at once only: one polarisation gives no tensor";
    if (input.sent_a.dwell_s > 0) return "loop B was not sent";
    if (input.sent_b.dwell_s > 0) return "loop A was not sent";
    return "neither loop was sent";
}

Verdict verdict_of(const ReadingInput& input, const TensorReading& tensor, const plan::Targets& targets) {
    if (input.no_record != NoRecord::none) return Verdict::noisy;
    if (!tensor.both_sent) return Verdict::not_sent;
    switch (zone_of(worst_bias(tensor, targets), targets)) {
        case model::ground::Zone::near_field:
            return Verdict::near_field;
        case model::ground::Zone::transition:
            return Verdict::transition;
        case model::ground::Zone::far_field:
            break;
    }
    return error_ratio(tensor, targets) > 1 ? Verdict::noisy : Verdict::usable;
}

/// One line, with the number that decides.
std::string reason_of(Verdict verdict, const ReadingInput& input, const TensorReading& tensor,
                      const plan::Targets& targets, double offset_over_skin_depth) {
    if (input.no_record != NoRecord::none) return no_record_text(input.no_record);
    if (verdict == Verdict::not_sent) return not_sent_text(input);
    std::string error = error_text(worst_error(tensor, targets), targets);
    if (verdict == Verdict::noisy) return error;
    const model::ground::PlaneWaveBias bias = worst_bias(tensor, targets);
    if (verdict == Verdict::usable) return error + "; " + bias_text(bias);
    const std::string against = bias_text(bias, offset_over_skin_depth, targets);
    return verdict == Verdict::transition && error_ratio(tensor, targets) > 1 ? against + "; " + error
                                                                              : against;
}

}  // namespace

double natural_sounding_sd_percent(const model::receiver::NoiseAt& noise, double frequency_hz,
                                   double recorded_s) {
    const double looks = std::max(1.0, recorded_s * 0.1 * frequency_hz);
    const double e = (noise.e.mains + noise.e.sensor) / noise.e.natural;
    const double h = (noise.h.mains + noise.h.sensor) / noise.h.natural;
    return 100 * 2 * std::sqrt((e + h) / 2 / looks);
}

Reading assess_reading(const ReadingInput& input, const plan::Targets& targets, Reasons reasons) {
    const TensorReading tensor = read_tensor(input);
    Reading out{};
    out.frequency_hz = input.frequency_hz;
    add_signal(input, out);
    add_plane_wave(input, out);
    add_tensor(tensor, out);
    add_error_bars(tensor, out);
    out.verdict = verdict_of(input, tensor, targets);
    if (reasons == Reasons::told)
        out.reason = reason_of(out.verdict, input, tensor, targets, out.offset_over_skin_depth);
    return out;
}

}  // namespace ampturn::reading
