#include "scheduler/reading/reading_quality.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "model/base/constants.hpp"

namespace ampturn::reading {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

double variance_of(const model::ground::TensorVariance& v, plan::Element element) {
    switch (element) {
        case plan::Element::xx:
            return v.xx;
        case plan::Element::xy:
            return v.xy;
        case plan::Element::yx:
            return v.yx;
        case plan::Element::yy:
            return v.yy;
    }
    throw std::logic_error("element unknown");
}

/// The |Z|^2 an element's error is held against: its own, or the plane wave's on the diagonal, where Z is
/// near zero.
double magnitude2_of(const TensorReading& reading, plan::Element element) {
    const model::ground::ImpedanceTensor& z = reading.uncorrelated.impedance;
    if (element == plan::Element::xy) return std::norm(z.xy_ohm);
    if (element == plan::Element::yx) return std::norm(z.yx_ohm);
    return std::norm(reading.plane_impedance_ohm);
}

/// The larger by magnitude, with its sign.
double worse(double a, double b) { return std::abs(a) >= std::abs(b) ? a : b; }

/// Of the allowed variance the sensors take theirs before any noise.
std::vector<DwellTerm> terms_in(const OneSecondReadings& readings, const plan::Targets& targets,
                                NoiseView view) {
    std::vector<DwellTerm> terms;
    for (const plan::Element element : targets.elements) {
        const double allowed = relative_variance_allowed(targets) * magnitude2_of(readings.a, element) -
                               variance_of(readings.sensors, element);
        if (!(allowed > 0)) {
            terms.push_back({element, infinite, infinite});
            continue;
        }
        terms.push_back({element, variance_of(readings.a.in(view).variance, element) / allowed,
                         variance_of(readings.b.in(view).variance, element) / allowed});
    }
    return terms;
}

}  // namespace

double relative_variance_allowed(const plan::Targets& targets) {
    const double of_rho = targets.rho_error_percent / 100 / std::sqrt(2.0);
    const double of_phase = targets.phase_error_deg * model::pi / 180 * std::sqrt(2.0);
    const double smaller = std::min(of_rho, of_phase);
    return smaller * smaller;
}

ErrorBar worst_error(const TensorReading& reading, const plan::Targets& targets, NoiseView view) {
    ErrorBar worst{};
    for (const plan::Element element : targets.elements) {
        const double relative =
            std::sqrt(variance_of(reading.in(view).variance, element) / magnitude2_of(reading, element));
        worst.resistivity_percent = std::max(worst.resistivity_percent, 100 * std::sqrt(2.0) * relative);
        worst.phase_deg = std::max(worst.phase_deg, relative / std::sqrt(2.0) * 180 / model::pi);
    }
    return worst;
}

model::ground::PlaneWaveBias worst_bias(const TensorReading& reading, const plan::Targets& targets) {
    model::ground::PlaneWaveBias worst{};
    const auto count = [&](const model::ground::PlaneWaveBias& bias) {
        worst.resistivity_rel = worse(worst.resistivity_rel, bias.resistivity_rel);
        worst.phase_deg = worse(worst.phase_deg, bias.phase_deg);
    };
    for (const plan::Element element : targets.elements) {
        if (element == plan::Element::xy) count(reading.bias_xy());
        if (element == plan::Element::yx) count(reading.bias_yx());
    }
    return worst;
}

model::ground::Zone zone_of(const model::ground::PlaneWaveBias& bias, const plan::Targets& targets) {
    return model::ground::zone_of(bias, {.resistivity_rel = targets.rho_bias_percent / 100,
                                         .phase_deg = targets.phase_bias_deg,
                                         .near_resistivity_rel = targets.near_field_bias_percent / 100,
                                         .near_phase_deg = targets.near_field_bias_deg});
}

double error_ratio(const std::optional<TensorReading>& reading, const plan::Targets& targets,
                   NoiseView view) {
    if (!reading || !reading->both_sent) return infinite;
    const ErrorBar worst = worst_error(*reading, targets, view);
    return std::max(worst.resistivity_percent / targets.rho_error_percent,
                    worst.phase_deg / targets.phase_error_deg);
}

double bias_ratio(const std::optional<TensorReading>& reading, const plan::Targets& targets) {
    if (!reading) return infinite;
    const model::ground::PlaneWaveBias worst = worst_bias(*reading, targets);
    return std::max(100 * std::fabs(worst.resistivity_rel) / targets.rho_bias_percent,
                    std::fabs(worst.phase_deg) / targets.phase_bias_deg);
}

DwellTerms dwell_terms(const ReadingInput& input, const plan::Targets& targets) {
    try {
        const OneSecondReadings readings = read_one_second_of_each(input);
        if (readings.a.both_sent)
            return {.uncorrelated = terms_in(readings, targets, NoiseView::uncorrelated),
                    .correlated = terms_in(readings, targets, NoiseView::correlated)};
    } catch (const std::domain_error&) {
        // Parallel magnetic fields: as good as nothing sent.
    }
    DwellTerms never;
    for (const plan::Element element : targets.elements)
        never.uncorrelated.push_back({element, infinite, infinite});
    never.correlated = never.uncorrelated;
    return never;
}

double needed_moment_factor(const ReadingInput& input, const plan::Targets& targets) {
    double worst = 0;
    for (const DwellTerm& term : dwell_terms(input, targets).uncorrelated)
        worst = std::max(worst, term.a_s / input.sent_a.dwell_s + term.b_s / input.sent_b.dwell_s);
    return std::sqrt(worst);
}

}  // namespace ampturn::reading
