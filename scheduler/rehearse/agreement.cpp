#include "scheduler/rehearse/agreement.hpp"

#include <cmath>
#include <complex>
#include <numbers>

namespace ampturn::rehearse {

void AgreementSum::add(const station::StationFrequencyResult& point) {
    if (!point.measured || point.mains_clash_order != 0) return;
    for (const station::CurvePoint* p : {&point.xy, &point.yx}) {
        const double relative = std::sqrt(p->planned_variance_ohm2) / std::abs(p->true_impedance_ohm);
        if (!(relative < 0.3)) continue;
        ++elements_;
        scatter_ += std::norm(p->impedance_ohm - p->recordable_impedance_ohm) / p->planned_variance_ohm2;
        jackknife_ += p->variance_ohm2 / p->planned_variance_ohm2;
        upper_ += std::pow(p->planned_upper.resistivity_percent / p->planned.resistivity_percent, 2);
        const std::complex<double> ratio = p->impedance_ohm / p->recordable_impedance_ohm;
        const double ln_rho = std::abs(std::log(std::norm(ratio))) / (p->jackknife.resistivity_percent / 100);
        const double phase = std::abs(std::arg(ratio)) * 180 / std::numbers::pi / p->jackknife.phase_deg;
        for (const double x : {ln_rho, phase}) {
            inside_1_ += x < 1 ? 0.5 : 0;
            inside_2_ += x < 2 ? 0.5 : 0;
        }
    }
}

station::Agreement AgreementSum::value() const {
    if (elements_ == 0) return {};
    return {.elements = elements_,
            .scatter_over_planned = std::sqrt(scatter_ / elements_),
            .jackknife_over_planned = std::sqrt(jackknife_ / elements_),
            .inside_one_sd = inside_1_ / elements_,
            .inside_two_sd = inside_2_ / elements_,
            .planned_upper_over_planned = std::sqrt(upper_ / elements_)};
}

}  // namespace ampturn::rehearse
