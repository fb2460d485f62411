#include "scheduler/reading/reading_quality.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/ground/tied_noise.hpp"

namespace ampturn::plan {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

model::HorizontalFields scaled(const model::HorizontalFields& f, double moment) {
    return {f.ex_v_per_m * moment, f.ey_v_per_m * moment, f.hx_a_per_m * moment, f.hy_a_per_m * moment};
}

/// Largest |dZ/Z|^2 allowed, from sd(rho)/rho = sqrt(2) |dZ/Z| and sd(phase) = |dZ/Z| / sqrt(2).
double relative_variance_allowed(const Targets& targets) {
    const double of_rho = targets.rho_error_percent / 100 / std::sqrt(2.0);
    const double of_phase = targets.phase_error_deg * model::pi / 180 * std::sqrt(2.0);
    const double smaller = std::min(of_rho, of_phase);
    return smaller * smaller;
}

double variance_of(const model::TensorVariance& v, Element element) {
    switch (element) {
        case Element::xx:
            return v.xx;
        case Element::xy:
            return v.xy;
        case Element::yx:
            return v.yx;
        case Element::yy:
            return v.yy;
    }
    throw std::logic_error("element unknown");
}

/// The |Z|^2 an element's error is judged against: its own, or the plane wave's on the diagonal, where Z is
/// near zero.
double magnitude2_of(const model::ImpedanceTensor& z, Element element, double plane2) {
    if (element == Element::xy) return std::norm(z.xy_ohm);
    if (element == Element::yx) return std::norm(z.yx_ohm);
    return plane2;
}

}  // namespace

std::vector<DwellTerm> dwell_terms(const FieldPerMoment& a, const FieldPerMoment& b, double moment_a_a_m2,
                                   double moment_b_a_m2, const model::NoiseAt& noise, double enbw_bins,
                                   std::complex<double> plane_impedance_ohm, const Targets& targets,
                                   NaturalView view) {
    std::vector<DwellTerm> terms;
    const bool tied = view == NaturalView::tied;
    const double e = 2 * (noise.e.total() - (tied ? noise.e.natural : 0)) * enbw_bins,
                 h = 2 * (noise.h.total() - (tied ? noise.h.natural : 0)) * enbw_bins;  // at a dwell of 1 s
    const model::HorizontalVariance noisy{.ex = e, .ey = e, .hx = h, .hy = h}, silent{};
    const double plane_wave = tied ? 2 * noise.h.natural * enbw_bins : 0;
    try {
        if (!(moment_a_a_m2 > 0 && moment_b_a_m2 > 0)) throw std::domain_error("nothing sent");
        const auto fields_a = scaled(a.horizontal, moment_a_a_m2),
                   fields_b = scaled(b.horizontal, moment_b_a_m2);
        const model::TensorEstimate of_a = model::estimate_tensor_in_plane_noise(
            fields_a, fields_b, noisy, silent, {plane_wave, 0}, plane_impedance_ohm);
        const model::TensorEstimate of_b = model::estimate_tensor_in_plane_noise(
            fields_a, fields_b, silent, noisy, {0, plane_wave}, plane_impedance_ohm);
        for (const Element element : targets.elements) {
            const double allowed = relative_variance_allowed(targets) *
                                   magnitude2_of(of_a.impedance, element, std::norm(plane_impedance_ohm));
            terms.push_back({element, variance_of(of_a.variance, element) / allowed,
                             variance_of(of_b.variance, element) / allowed});
        }
    } catch (const std::domain_error&) {
        for (const Element element : targets.elements) terms.push_back({element, infinite, infinite});
    }
    return terms;
}

double error_ratio(const std::vector<DwellTerm>& terms, double dwell_a_s, double dwell_b_s) {
    double worst = 0;
    for (const DwellTerm& term : terms) worst = std::max(worst, term.a_s / dwell_a_s + term.b_s / dwell_b_s);
    return std::sqrt(worst);
}

double bias_ratio(const FieldPerMoment& a, const FieldPerMoment& b, std::complex<double> plane_impedance_ohm,
                  double frequency_hz, const Targets& targets) {
    try {
        const model::TensorEstimate tensor = model::estimate_tensor(a.horizontal, b.horizontal, {}, {});
        double worst = 0;
        const auto count = [&](const model::SoundingPoint& point) {
            const model::PlaneWaveBias bias =
                model::plane_wave_bias(point, plane_impedance_ohm, frequency_hz);
            worst = std::max({worst, 100 * std::fabs(bias.resistivity_rel) / targets.rho_bias_percent,
                              std::fabs(bias.phase_deg) / targets.phase_bias_deg});
        };
        for (const Element element : targets.elements) {
            if (element == Element::xy) count(model::sounding_xy(tensor, frequency_hz));
            if (element == Element::yx) count(model::sounding_yx(tensor, frequency_hz));
        }
        return worst;
    } catch (const std::domain_error&) {
        return infinite;
    }
}

}  // namespace ampturn::plan
