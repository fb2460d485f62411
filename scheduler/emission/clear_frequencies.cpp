#include "scheduler/emission/clear_frequencies.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "scheduler/emission/sweep_emission.hpp"
#include "scheduler/plan/placement_rules.hpp"

namespace ampturn::emission {
namespace {

using model::receiver::PlacementRules;
using model::receiver::PlacementVerdict;
using model::receiver::ProposedFrequency;
using model::receiver::ServiceBand;

bool has_limits(const plan::Plan& plan) {
    return plan.emission && (!plan.emission->limit_tables.empty() || !plan.emission->limits.empty());
}

double octaves_between(double a_hz, double b_hz) { return std::abs(std::log2(a_hz / b_hz)); }

/// The plan with nothing but the line in its sweep, on the loops and with the currents of its steps nearest to it.
plan::Plan with_line(plan::Plan plan, double frequency_hz) {
    double nearest = octaves_between(plan.sweep.steps.front().frequency_hz, frequency_hz);
    for (const plan::Step& step : plan.sweep.steps)
        nearest = std::min(nearest, octaves_between(step.frequency_hz, frequency_hz));
    std::vector<plan::Step> steps;
    for (plan::Step step : plan.sweep.steps) {
        if (octaves_between(step.frequency_hz, frequency_hz) != nearest) continue;
        step.frequency_hz = frequency_hz;
        steps.push_back(step);
    }
    plan.sweep.steps = std::move(steps);
    return plan;
}

/// Rules that grow by what the harmonics of lines turn out to fall on.
class GrowingRules {
  public:
    explicit GrowingRules(const plan::Plan& plan) : plan_(plan), rules_(plan::placement_rules_of(plan)) {}
    const PlacementRules& rules() const { return rules_; }

    /// Tries the lines that have not been tried; whether the rules have grown.
    bool grow(const std::vector<double>& frequencies_hz) {
        if (!has_limits(plan_)) return false;
        bool grown = false;
        for (const double f : frequencies_hz)
            for (const ServiceBand& band : bands_of(f)) {
                if (std::find(rules_.services.begin(), rules_.services.end(), band) != rules_.services.end())
                    continue;
                rules_.services.push_back(band);
                grown = true;
            }
        return grown;
    }

  private:
    const std::vector<ServiceBand>& bands_of(double frequency_hz) {
        const auto known = tried_.find(frequency_hz);
        if (known != tried_.end()) return known->second;
        const plan::Plan trial = with_line(plan_, frequency_hz);
        std::vector<ServiceBand> bands;
        for (const HarmonicOnService& h : emission_of(trial, setup::sweep_setup_of(trial)).harmonics)
            bands.push_back({h.service.name, h.service.low_hz, h.service.high_hz, h.against.line.order});
        return tried_.emplace(frequency_hz, std::move(bands)).first->second;
    }

    const plan::Plan& plan_;
    PlacementRules rules_;
    std::map<double, std::vector<ServiceBand>> tried_;
};

}  // namespace

// Both end: services and orders are finite, and no round takes a band away.

std::vector<PlacementVerdict> judge_frequencies(const plan::Plan& plan) {
    GrowingRules growing(plan);
    for (;;) {
        std::vector<PlacementVerdict> verdicts =
            model::receiver::judge_placement(growing.rules(), plan.sweep.frequencies_hz());
        std::vector<double> to_try_hz;
        for (const PlacementVerdict& v : verdicts) {
            to_try_hz.push_back(v.frequency_hz);
            if (v.alternative_hz) to_try_hz.push_back(*v.alternative_hz);
        }
        if (!growing.grow(to_try_hz)) return verdicts;
    }
}

ClearProposals propose_clear_frequencies(const plan::Plan& plan, double low_hz, double high_hz, int count) {
    GrowingRules growing(plan);
    for (;;) {
        std::vector<ProposedFrequency> proposed =
            model::receiver::propose_frequencies(growing.rules(), low_hz, high_hz, count);
        std::vector<double> to_try_hz;
        for (const ProposedFrequency& p : proposed)
            if (p.divisor) to_try_hz.push_back(p.frequency_hz);
        if (!growing.grow(to_try_hz)) return {std::move(proposed), growing.rules()};
    }
}

std::string what_is_kept_clear(const plan::Plan& plan) {
    if (plan::avoided_services_of(plan).empty()) return "";
    return has_limits(plan)
               ? "Kept clear of services: each frequency, and those of its odd harmonics to the 25th that would be above a "
                 "limit of the plan, tried with the plan's nearest step. Weaker ones are not: `ampturn transmitter` has them."
               : "Kept clear of services: the frequencies alone. Their harmonics are not judged, for the plan has no limit "
                 "to hold them against: emission.limit_tables, [[emission.limit]].";
}

}  // namespace ampturn::emission
