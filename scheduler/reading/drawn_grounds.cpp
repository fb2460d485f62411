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
constexpr double finer = 10;  // a polynomial makes more of its values' errors

bool within_reach(std::span<const double> z) {
    return std::all_of(z.begin(), z.end(),
                       [](double at) { return std::abs(at) <= model::SparsePolynomial::reach; });
}

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

std::vector<double> DrawnGrounds::place_of(std::span<const double> layer_decades) const {
    std::vector<double> z;
    for (const double decades : layer_decades) z.push_back(sd_decades_ > 0 ? decades / sd_decades_ : 0);
    return z;
}

DrawnGrounds DrawnGrounds::make(const plan::Plan& plan, const setup::SurveySetup& setup, double tolerance_rel,
                                unsigned threads) {
    DrawnGrounds out;
    out.tolerance_rel_ = tolerance_rel;
    out.sd_decades_ = plan.uncertainty.resistivity_decades;
    const std::vector<double>& frequencies_hz = setup.frequencies_hz;
    const double fine_rel = tolerance_rel / finer;
    const auto own = dipole_fields(plan, setup, frequencies_hz, fine_rel, threads);
    const auto finite = station_responses(plan, setup, threads, {.tolerance_rel = fine_rel});
    out.dipoles_do_ =
        largest_difference_rel(finite, loops_of_dipoles(plan, setup, frequencies_hz, own)) < tolerance_rel;
    if (out.dipoles_do_) out.make_polynomials(plan, setup, own.front().size(), threads);
    return out;
}

void DrawnGrounds::make_polynomials(const plan::Plan& plan, const setup::SurveySetup& setup,
                                    std::size_t numbers, unsigned threads) {
    const std::size_t layers = most_layers(plan);
    const double reach_decades = model::SparsePolynomial::reach * sd_decades_;
    if (model::SparsePolynomial::terms_of(layers, likely_degree) > most_terms) return;
    if (hits_an_end(plan.earth, reach_decades)) return;
    for (const plan::NamedGround& named : plan.grounds)
        if (hits_an_end(named.ground, reach_decades)) return;

    const std::vector<double>& frequencies_hz = setup.frequencies_hz;
    std::vector<model::SparsePolynomial> made(frequencies_hz.size(), model::SparsePolynomial(layers));
    // Ground by ground, at some of the frequencies.
    const auto fields_over = [&](const std::vector<std::vector<double>>& places,
                                 const std::vector<double>& at_hz) {
        std::vector<std::vector<std::vector<double>>> fields(places.size());
        base::parallel_for(places.size(), threads, [&](std::size_t i) {
            std::vector<double> decades;
            for (const double z : places[i]) decades.push_back(z * sd_decades_);
            plan::Plan drawn = plan;
            set_off(drawn, decades);
            fields[i] =
                dipole_fields(drawn, setup::survey_setup_of(drawn, setup), at_hz, tolerance_rel_ / finer);
        });
        return fields;
    };
    std::vector<std::vector<double>> tried;
    const run::CounterRandom random(0, run::stream_of("ground tried"));
    for (std::uint64_t i = 0; tried.size() < tried_grounds; ++i) {
        std::vector<double> z;
        for (std::size_t layer = 0; layer < layers; ++layer) z.push_back(random.normal(layers * i + layer));
        if (within_reach(z)) tried.push_back(std::move(z));
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
            if (!(largest_difference_rel(responses_to(truth[i][f]), responses_to(made[f].at(tried[i]))) <
                  tolerance_rel_))
                return false;
        return true;
    };
    std::vector<std::size_t> left(frequencies_hz.size());
    std::iota(left.begin(), left.end(), std::size_t{0});
    for (int degree = 0; !left.empty(); ++degree) {
        const std::size_t terms = model::SparsePolynomial::terms_of(layers, degree);
        if (terms > most_terms || terms * left.size() * numbers > most_numbers) return;
        std::vector<double> left_hz;
        for (const std::size_t f : left) left_hz.push_back(frequencies_hz[f]);
        auto fields = fields_over(made[left.front()].next_points(), left_hz);
        for (std::size_t k = 0; k < left.size(); ++k) {
            std::vector<std::vector<double>> values;
            for (auto& ground : fields) values.push_back(std::move(ground[k]));
            made[left[k]].raise(std::move(values));
        }
        std::erase_if(left, holds);
    }
    polynomials_ = std::move(made);
}

DrawnGrounds::Way DrawnGrounds::way_to(std::span<const double> layer_decades) const {
    if (!dipoles_do_) return Way::loops;
    return polynomials_.empty() || !within_reach(place_of(layer_decades)) ? Way::dipoles : Way::polynomials;
}

std::vector<FrequencyResponse> DrawnGrounds::responses(const plan::Plan& drawn,
                                                       const setup::SweepSetup& drawn_setup,
                                                       std::span<const double> layer_decades) const {
    const Way way = way_to(layer_decades);
    if (way == Way::loops) return station_responses(drawn, drawn_setup, 1, {.tolerance_rel = tolerance_rel_});
    const std::vector<double>& frequencies_hz = drawn_setup.frequencies_hz;
    std::vector<std::vector<double>> fields;
    if (way == Way::dipoles)
        fields = dipole_fields(drawn, drawn_setup, frequencies_hz, tolerance_rel_);
    else
        for (const std::vector<double> place = place_of(layer_decades);
             const model::SparsePolynomial& polynomial : polynomials_)
            fields.push_back(polynomial.at(place));
    return responses_of_dipoles(drawn, drawn_setup, frequencies_hz, fields);
}

std::size_t DrawnGrounds::terms() const {
    std::size_t terms = 0;
    for (const model::SparsePolynomial& polynomial : polynomials_) terms += polynomial.terms();
    return terms;
}

}  // namespace ampturn::reading
