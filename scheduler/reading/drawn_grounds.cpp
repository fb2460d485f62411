#include "scheduler/reading/drawn_grounds.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/reading/station_dipoles.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::reading {
namespace {

constexpr double lowest_ohm_m = 1e-3, highest_ohm_m = 1e6;  // of a layer of the field engine
constexpr int tried_grounds = 12;
constexpr double tried_lean_sd = 2;
constexpr std::size_t most_terms = 220, most_numbers = 8'000'000;
constexpr int likely_degree = 4;

bool hits_an_end(const plan::Ground& ground, double decades) {
    return std::any_of(ground.resistivity_ohm_m.begin(), ground.resistivity_ohm_m.end(), [&](double rho) {
        return rho * std::pow(10, -decades) < lowest_ohm_m || rho * std::pow(10, decades) > highest_ohm_m;
    });
}

}  // namespace

std::size_t most_layers(const plan::Plan& plan) {
    std::size_t layers = plan.earth.resistivity_ohm_m.size();
    for (const plan::NamedGround& named : plan.grounds)
        layers = std::max(layers, named.ground.resistivity_ohm_m.size());
    return layers;
}

void set_off(plan::Plan& plan, std::span<const double> layer_decades) {
    const auto set = [&](plan::Ground& ground) {
        for (std::size_t layer = 0; layer < ground.resistivity_ohm_m.size(); ++layer) {
            double& rho = ground.resistivity_ohm_m[layer];
            rho = std::clamp(rho * std::pow(10, layer_decades[layer]), lowest_ohm_m, highest_ohm_m);
        }
    };
    set(plan.earth);
    for (plan::NamedGround& named : plan.grounds) set(named.ground);
}

std::optional<std::vector<double>> DrawnGrounds::place_of(std::span<const double> layer_decades) const {
    std::vector<double> z;
    for (const double decades : layer_decades) {
        z.push_back(sd_decades_ > 0 ? decades / sd_decades_ : 0);
        if (std::abs(z.back()) > model::SparsePolynomial::reach) return std::nullopt;
    }
    return z;
}

std::optional<DrawnGrounds> DrawnGrounds::make(const plan::Plan& plan, const setup::SurveySetup& setup,
                                               double tolerance_rel, unsigned threads) {
    const std::size_t layers = most_layers(plan);
    const double sd_decades = plan.uncertainty.resistivity_decades;
    const double reach_decades = model::SparsePolynomial::reach * sd_decades;
    if (model::SparsePolynomial::terms_of(layers, likely_degree) > most_terms) return std::nullopt;
    if (hits_an_end(plan.earth, reach_decades)) return std::nullopt;
    for (const plan::NamedGround& named : plan.grounds)
        if (hits_an_end(named.ground, reach_decades)) return std::nullopt;

    const double fine_rel = tolerance_rel / 10;  // a polynomial makes more of its values' errors
    const std::vector<double>& frequencies_hz = setup.frequencies_hz;
    const auto own = dipole_fields(plan, setup, frequencies_hz, fine_rel, threads);
    const auto finite = station_responses(plan, setup, threads, {.tolerance_rel = fine_rel});
    if (!(largest_difference_rel(finite, loops_of_dipoles(plan, setup, frequencies_hz, own)) < tolerance_rel))
        return std::nullopt;

    DrawnGrounds out(frequencies_hz.size(), layers, sd_decades);
    // Ground by ground, at some of the frequencies.
    const auto fields_over = [&](const std::vector<std::vector<double>>& places,
                                 const std::vector<double>& at_hz) {
        std::vector<std::vector<std::vector<double>>> fields(places.size());
        base::parallel_for(places.size(), threads, [&](std::size_t i) {
            std::vector<double> decades;
            for (const double z : places[i]) decades.push_back(z * sd_decades);
            plan::Plan drawn = plan;
            set_off(drawn, decades);
            fields[i] = dipole_fields(drawn, setup::survey_setup_of(drawn, setup), at_hz, fine_rel);
        });
        return fields;
    };
    std::vector<std::vector<double>> tried;
    const run::CounterRandom random(0, run::stream_of("ground tried"));
    for (std::uint64_t i = 0; tried.size() < tried_grounds; ++i) {
        std::vector<double> decades;
        for (std::size_t layer = 0; layer < layers; ++layer)
            decades.push_back(sd_decades * random.normal(layers * i + layer));
        if (const auto z = out.place_of(decades)) tried.push_back(*z);
    }
    const auto truth = fields_over(tried, frequencies_hz);
    // What an upright dipole sends counts as far as loops lean.
    setup::SurveySetup leaning = setup;
    leaning.transmitter.design.loop_a.tilt_deg += tried_lean_sd * plan.uncertainty.loop_tilt_deg;
    leaning.transmitter.design.loop_b->tilt_deg -= tried_lean_sd * plan.uncertainty.loop_tilt_deg;
    const auto holds = [&](std::size_t f) {
        const auto responses_to = [&](const std::vector<double>& fields) {
            return loops_of_dipoles(plan, leaning, std::span(&frequencies_hz[f], 1), std::span(&fields, 1));
        };
        for (std::size_t i = 0; i < tried.size(); ++i)
            if (!(largest_difference_rel(responses_to(truth[i][f]),
                                         responses_to(out.polynomials_[f].at(tried[i]))) < tolerance_rel))
                return false;
        return true;
    };
    std::vector<std::size_t> left(frequencies_hz.size());
    std::iota(left.begin(), left.end(), std::size_t{0});
    for (int degree = 0; !left.empty(); ++degree) {
        const std::size_t terms = model::SparsePolynomial::terms_of(layers, degree);
        if (terms > most_terms || terms * left.size() * own.front().size() > most_numbers)
            return std::nullopt;
        std::vector<double> left_hz;
        for (const std::size_t f : left) left_hz.push_back(frequencies_hz[f]);
        auto fields = fields_over(out.polynomials_[left.front()].next_points(), left_hz);
        for (std::size_t k = 0; k < left.size(); ++k) {
            std::vector<std::vector<double>> values;
            for (auto& ground : fields) values.push_back(std::move(ground[k]));
            out.polynomials_[left[k]].raise(std::move(values));
        }
        std::erase_if(left, holds);
    }
    return out;
}

std::optional<std::vector<FrequencyResponse>> DrawnGrounds::responses(
    const plan::Plan& drawn, const setup::SweepSetup& drawn_setup,
    std::span<const double> layer_decades) const {
    const auto z = place_of(layer_decades);
    if (!z) return std::nullopt;
    std::vector<std::vector<double>> fields;
    for (const model::SparsePolynomial& polynomial : polynomials_) fields.push_back(polynomial.at(*z));
    return responses_of_dipoles(drawn, drawn_setup, drawn_setup.frequencies_hz, fields);
}

std::size_t DrawnGrounds::terms() const {
    std::size_t terms = 0;
    for (const model::SparsePolynomial& polynomial : polynomials_) terms += polynomial.terms();
    return terms;
}

}  // namespace ampturn::reading
