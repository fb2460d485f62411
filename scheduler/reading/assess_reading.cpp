#include "scheduler/reading/assess_reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/ground/tied_noise.hpp"

namespace ampturn::plan {
namespace {

model::HorizontalFields scaled(const model::HorizontalFields& f, double moment) {
    return {f.ex_v_per_m * moment, f.ey_v_per_m * moment, f.hx_a_per_m * moment, f.hy_a_per_m * moment};
}

/// Error variance of a channel's complex amplitude.
double variance(double psd, double enbw_bins, double dwell_s) { return 2 * psd * enbw_bins / dwell_s; }

ChannelSnr snr_of(const FieldPerMoment& unit, const Transmission& sent, const model::NoiseAt& noise,
                  double enbw_bins) {
    if (!(sent.dwell_s > 0)) return {};
    const double m2 = sent.moment_a_m2_peak * sent.moment_a_m2_peak;
    const double e = variance(noise.e.total(), enbw_bins, sent.dwell_s);
    const double h = variance(noise.h.total(), enbw_bins, sent.dwell_s);
    return {.ex = m2 * std::norm(unit.horizontal.ex_v_per_m) / e,
            .ey = m2 * std::norm(unit.horizontal.ey_v_per_m) / e,
            .hx = m2 * std::norm(unit.horizontal.hx_a_per_m) / h,
            .hy = m2 * std::norm(unit.horizontal.hy_a_per_m) / h,
            .hz = m2 * std::norm(unit.hz_a_per_m) / h};
}

/// The larger by magnitude, with its sign.
double worst(double a, double b) { return std::abs(a) >= std::abs(b) ? a : b; }

bool wanted(const Targets& targets, Element element) {
    return std::find(targets.elements.begin(), targets.elements.end(), element) != targets.elements.end();
}

}  // namespace

void Transmission::add(double moment_a_m2, double added_dwell_s) {
    if (!(added_dwell_s > 0)) return;
    const double energy =
        moment_a_m2_peak * moment_a_m2_peak * dwell_s + moment_a_m2 * moment_a_m2 * added_dwell_s;
    dwell_s += added_dwell_s;
    moment_a_m2_peak = std::sqrt(energy / dwell_s);
}

double natural_sounding_sd_percent(const model::NoiseAt& noise, double frequency_hz, double recorded_s) {
    const double looks = std::max(1.0, recorded_s * 0.1 * frequency_hz);
    const double e = (noise.e.mains + noise.e.sensor) / noise.e.natural;
    const double h = (noise.h.mains + noise.h.sensor) / noise.h.natural;
    return 100 * 2 * std::sqrt((e + h) / 2 / looks);
}

Reading assess_reading(const ReadingInput& input, const Targets& targets) {
    Reading out{};
    out.frequency_hz = input.frequency_hz;
    out.dwell_a_s = input.sent_a.dwell_s;
    out.dwell_b_s = input.sent_b.dwell_s;
    out.moment_a_a_m2 = input.sent_a.moment_a_m2_peak;
    out.moment_b_a_m2 = input.sent_b.moment_a_m2_peak;
    out.snr_a = snr_of(input.a, input.sent_a, input.noise, input.window_enbw_bins);
    out.snr_b = snr_of(input.b, input.sent_b, input.noise, input.window_enbw_bins);
    if (input.recorded_s > 0)
        out.natural_signal_sd_percent =
            natural_sounding_sd_percent(input.noise, input.frequency_hz, input.recorded_s);

    const double plane2 = std::norm(input.plane_impedance_ohm);
    out.plane_resistivity_ohm_m = plane2 / (2 * model::pi * input.frequency_hz * model::mu0_h_per_m);
    out.plane_phase_deg = std::arg(input.plane_impedance_ohm) * 180 / model::pi;
    out.offset_over_skin_depth =
        input.offset_m / model::skin_depth_m(out.plane_resistivity_ohm_m, input.frequency_hz);

    // The bias belongs to the geometry and is told even where nothing was sent; error bars need a signal.
    const bool sent = input.sent_a.dwell_s > 0 && input.sent_b.dwell_s > 0 &&
                      input.sent_a.moment_a_m2_peak > 0 && input.sent_b.moment_a_m2_peak > 0;
    const auto channels = [&](const Transmission& s, double e_psd, double h_psd) {
        if (!sent) return model::HorizontalVariance{};
        const double e = variance(e_psd, input.window_enbw_bins, s.dwell_s);
        const double h = variance(h_psd, input.window_enbw_bins, s.dwell_s);
        return model::HorizontalVariance{.ex = e, .ey = e, .hx = h, .hy = h};
    };
    const auto all = [&](const Transmission& s) {
        return channels(s, input.noise.e.total(), input.noise.h.total());
    };
    const model::HorizontalFields fields_a =
                                      scaled(input.a.horizontal, sent ? input.sent_a.moment_a_m2_peak : 1.0),
                                  fields_b =
                                      scaled(input.b.horizontal, sent ? input.sent_b.moment_a_m2_peak : 1.0);
    const model::TensorEstimate tensor =
        model::estimate_tensor(fields_a, fields_b, all(input.sent_a), all(input.sent_b));
    const auto untied = [&](const Transmission& s) {
        return channels(s, input.noise.e.mains + input.noise.e.sensor,
                        input.noise.h.mains + input.noise.h.sensor);
    };
    const auto natural = [&](const Transmission& s) {
        return sent ? variance(input.noise.h.natural, input.window_enbw_bins, s.dwell_s) : 0.0;
    };
    const model::TensorEstimate tied = model::estimate_tensor_in_plane_noise(
        fields_a, fields_b, untied(input.sent_a), untied(input.sent_b),
        {natural(input.sent_a), natural(input.sent_b)}, input.plane_impedance_ohm);
    out.h_condition_number = tensor.h_condition_number;
    const model::SoundingPoint xy = model::sounding_xy(tensor, input.frequency_hz);
    const model::SoundingPoint yx = model::sounding_yx(tensor, input.frequency_hz);
    const model::PlaneWaveBias bias_xy =
        model::plane_wave_bias(xy, input.plane_impedance_ohm, input.frequency_hz);
    const model::PlaneWaveBias bias_yx =
        model::plane_wave_bias(yx, input.plane_impedance_ohm, input.frequency_hz);
    out.resistivity_xy_ohm_m = xy.apparent_resistivity_ohm_m;
    out.resistivity_yx_ohm_m = yx.apparent_resistivity_ohm_m;
    out.phase_xy_deg = xy.phase_deg;
    out.phase_yx_deg = yx.phase_deg;
    out.resistivity_sd_xy_percent = 100 * xy.resistivity_sd_rel;
    out.resistivity_sd_yx_percent = 100 * yx.resistivity_sd_rel;
    out.phase_sd_xy_deg = xy.phase_sd_deg;
    out.phase_sd_yx_deg = yx.phase_sd_deg;
    const model::SoundingPoint tied_xy = model::sounding_xy(tied, input.frequency_hz);
    const model::SoundingPoint tied_yx = model::sounding_yx(tied, input.frequency_hz);
    out.tied_resistivity_sd_xy_percent = 100 * tied_xy.resistivity_sd_rel;
    out.tied_resistivity_sd_yx_percent = 100 * tied_yx.resistivity_sd_rel;
    out.tied_phase_sd_xy_deg = tied_xy.phase_sd_deg;
    out.tied_phase_sd_yx_deg = tied_yx.phase_sd_deg;
    out.bias_xy_percent = 100 * bias_xy.resistivity_rel;
    out.bias_yx_percent = 100 * bias_yx.resistivity_rel;
    out.bias_xy_deg = bias_xy.phase_deg;
    out.bias_yx_deg = bias_yx.phase_deg;

    // Only the elements the plan asks for decide; a diagonal element's error is judged against the plane
    // wave's |Z|.
    double bias_percent = 0, bias_deg = 0, sd_percent = 0, sd_deg = 0;
    const auto count_error = [&](double element_variance, double magnitude2) {
        const double relative = std::sqrt(element_variance / magnitude2);
        sd_percent = std::max(sd_percent, 100 * std::sqrt(2.0) * relative);
        sd_deg = std::max(sd_deg, relative / std::sqrt(2.0) * 180 / model::pi);
    };
    if (wanted(targets, Element::xy)) {
        bias_percent = worst(bias_percent, out.bias_xy_percent);
        bias_deg = worst(bias_deg, out.bias_xy_deg);
        count_error(tensor.variance.xy, std::norm(tensor.impedance.xy_ohm));
    }
    if (wanted(targets, Element::yx)) {
        bias_percent = worst(bias_percent, out.bias_yx_percent);
        bias_deg = worst(bias_deg, out.bias_yx_deg);
        count_error(tensor.variance.yx, std::norm(tensor.impedance.yx_ohm));
    }
    if (wanted(targets, Element::xx)) count_error(tensor.variance.xx, plane2);
    if (wanted(targets, Element::yy)) count_error(tensor.variance.yy, plane2);

    const bool noisy = sd_percent > targets.rho_error_percent || sd_deg > targets.phase_error_deg;
    const std::string error_text =
        fmt::format("error bar {:.2g} % and {:.2g} deg (target {:g} % and {:g} deg)", sd_percent, sd_deg,
                    targets.rho_error_percent, targets.phase_error_deg);
    const std::string bias_text = fmt::format(
        "bias {:+.2g} % and {:+.2g} deg at {:.1f} skin depths (tolerance {:g} % and {:g} deg)", bias_percent,
        bias_deg, out.offset_over_skin_depth, targets.rho_bias_percent, targets.phase_bias_deg);
    const model::Zone zone = model::zone_of({.resistivity_rel = bias_percent / 100, .phase_deg = bias_deg},
                                            {.resistivity_rel = targets.rho_bias_percent / 100,
                                             .phase_deg = targets.phase_bias_deg,
                                             .near_resistivity_rel = targets.near_bias_percent / 100});
    if (!sent) {
        out.verdict = Verdict::not_sent;
        out.reason = input.sent_a.dwell_s > 0   ? "loop B was not sent"
                     : input.sent_b.dwell_s > 0 ? "loop A was not sent"
                                                : "neither loop was sent";
    } else if (zone == model::Zone::near) {
        out.verdict = Verdict::near_zone;
        out.reason = bias_text;
    } else if (zone == model::Zone::transition) {
        out.verdict = Verdict::biased;
        out.reason = noisy ? bias_text + "; " + error_text : bias_text;
    } else if (noisy) {
        out.verdict = Verdict::noisy;
        out.reason = error_text;
    } else {
        out.verdict = Verdict::usable;
        out.reason = fmt::format("{}; bias {:+.2g} % and {:+.2g} deg", error_text, bias_percent, bias_deg);
    }
    return out;
}

}  // namespace ampturn::plan
