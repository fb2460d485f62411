#include "scheduler/rehearse/question.hpp"

#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

#include "model/sounding_forward.hpp"
#include "scheduler/plan/earth_of_plan.hpp"
#include "scheduler/rehearse/invert.hpp"
#include "scheduler/rehearse/station.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// N(mean, V + J S J') with V diagonal; the small matrix of the parameters is all that is factored
/// (Woodbury).
class Gaussian {
  public:
    Gaussian(const VectorXd& mean, const MatrixXd& jacobian, const VectorXd& prior_sd,
             const VectorXd& variance)
        : mean_(mean), variance_(variance), scaled_(jacobian * prior_sd.asDiagonal()) {
        MatrixXd small = scaled_.transpose() * variance_.cwiseInverse().asDiagonal() * scaled_;
        small.diagonal().array() += 1;
        factor_.compute(small);
        ln_determinant_ =
            variance_.array().log().sum() + 2 * MatrixXd(factor_.matrixL()).diagonal().array().log().sum();
    }
    /// x' C^-1 y.
    double product(const VectorXd& x, const VectorXd& y) const {
        const VectorXd wx = x.cwiseQuotient(variance_), wy = y.cwiseQuotient(variance_);
        return x.dot(wy) - (scaled_.transpose() * wx).dot(factor_.solve(scaled_.transpose() * wy));
    }
    double ln_likelihood(const VectorXd& data) const {
        const VectorXd r = data - mean_;
        return -0.5 * (product(r, r) + ln_determinant_);
    }
    /// A data set; noise and parameters from independent standard normal values.
    VectorXd draw(const VectorXd& noise, const VectorXd& parameters) const {
        return mean_ + variance_.cwiseSqrt().cwiseProduct(noise) + scaled_ * parameters;
    }

  private:
    VectorXd mean_, variance_;
    MatrixXd scaled_;
    Eigen::LLT<MatrixXd> factor_;
    double ln_determinant_ = 0;
};

VectorXd standard_normal(const run::CounterRandom& random, std::uint64_t first, Index count) {
    VectorXd values(count);
    for (Index i = 0; i < count; ++i) values[i] = random.normal(first + static_cast<std::uint64_t>(i));
    return values;
}

/// One station and frequency of the data: four rows.
struct DataRows {
    int station_index;
    std::size_t frequency_index;
    double energy_wh;
};

/// The data that a day gives to a question, and their variances.
struct QuestionData {
    std::vector<DataRows> rows;
    std::vector<int> stations;  // each once, in order
    VectorXd variance, natural_variance;
};

bool asked_of(const plan::Question& question, const plan::Station& station) {
    return question.stations.empty() || std::find(question.stations.begin(), question.stations.end(),
                                                  station.name) != question.stations.end();
}

QuestionData data_of(const plan::Plan& plan, const plan::DayResult& day, const FieldTable& fields) {
    QuestionData data;
    std::vector<double> variance, natural;
    for (int s = 0; s < static_cast<int>(plan.stations.size()); ++s) {
        if (!asked_of(*plan.question, plan.stations[static_cast<std::size_t>(s)])) continue;
        struct Sum {
            double moment2_s = 0, dwell_s = 0;
            void add(const SentStep& step) {
                moment2_s += step.moment_a_m2 * step.moment_a_m2 * step.dwell_s;
                dwell_s += step.dwell_s;
            }
            SentMoment sent() const { return {std::sqrt(moment2_s / dwell_s), dwell_s}; }
        };
        std::vector<Sum> a(day.frequencies_hz.size()), b(a.size());
        std::vector<double> energy_wh(a.size());
        int hour = 12;
        for (const SentStep& step : steps_sent_to(day, s)) {
            if (step.loop == 'A') a[step.frequency_index].add(step);
            if (step.loop == 'B') b[step.frequency_index].add(step);
            energy_wh[step.frequency_index] += step.energy_wh;
            hour = static_cast<int>(step.start_s / 3600) % 24;
        }
        for (std::size_t f = 0; f < a.size(); ++f) {
            if (!(a[f].moment2_s > 0 && b[f].moment2_s > 0)) continue;
            const plan::FrequencyResponse& response = *fields.at(day.frequencies_hz[f], 1);
            const model::TensorEstimate all =
                planned_variance(plan, response, s, hour, a[f].sent(), b[f].sent()).tied;
            plan::Plan silent = plan;
            silent.noise.natural_factor = 0;
            silent.noise.spectrum.reset();
            const model::TensorEstimate sensors =
                planned_variance(silent, response, s, hour, a[f].sent(), b[f].sent()).tied;
            if (data.stations.empty() || data.stations.back() != s) data.stations.push_back(s);
            data.rows.push_back({s, f, energy_wh[f]});
            const auto put = [&](double whole, double without, std::complex<double> z) {
                // ln rho = 2 ln |Z|: variance 4 * s^2/(2 |Z|^2); phase: s^2/(2 |Z|^2).
                const double phase = without / (2 * std::norm(z));
                const double more = std::max(0.0, whole - without) / (2 * std::norm(z));
                // Calibration and distortion no stacking removes: as in the inversion.
                const double floor = least_error * least_error;
                variance.insert(variance.end(), {4 * phase + floor, phase + floor / 4});
                natural.insert(natural.end(), {4 * more, more});
            };
            put(all.variance.xy, sensors.variance.xy, all.impedance.xy_ohm);
            put(all.variance.yx, sensors.variance.yx, all.impedance.yx_ohm);
        }
    }
    data.variance = Eigen::Map<VectorXd>(variance.data(), static_cast<Index>(variance.size()));
    data.natural_variance = Eigen::Map<VectorXd>(natural.data(), static_cast<Index>(natural.size()));
    return data;
}

/// Noise-free data over a ground, and their derivatives.
model::Response response_of(const plan::Plan& plan, const plan::DayResult& day, const QuestionData& data,
                            const model::LayeredEarth& earth, model::Unknowns unknowns) {
    const VectorXd parameters = model::parameters_of(earth, unknowns);
    model::Response whole{.value = VectorXd(data.variance.size()),
                          .jacobian = MatrixXd(data.variance.size(), parameters.size())};
    Index at = 0;
    for (const int station : data.stations) {
        std::vector<double> frequencies_hz;
        for (const DataRows& rows : data.rows)
            if (rows.station_index == station)
                frequencies_hz.push_back(day.frequencies_hz[rows.frequency_index]);
        const model::Response own = model::source_forward(frequencies_hz, earth, unknowns,
                                                          dipoles_of(plan, station))(parameters, true);
        whole.value.segment(at, own.value.size()) = own.value;
        whole.jacobian.middleRows(at, own.value.size()) = own.jacobian;
        at += own.value.size();
    }
    return whole;
}

/// The rows of `v` that belong to one frequency, or all others.
std::vector<Index> rows_of(const QuestionData& data, std::size_t frequency_index, bool others) {
    std::vector<Index> picked;
    for (std::size_t i = 0; i < data.rows.size(); ++i)
        if ((data.rows[i].frequency_index == frequency_index) != others)
            for (Index k = 0; k < 4; ++k) picked.push_back(4 * static_cast<Index>(i) + k);
    return picked;
}

/// Information of a subset of the data, nats; nuisances known or not.
using Worth = std::function<double(const std::vector<Index>& rows, bool nuisances_known)>;

std::vector<FrequencyInformation> worth_by_frequency(const plan::DayResult& day, const QuestionData& data,
                                                     const Worth& worth) {
    std::vector<Index> all(static_cast<std::size_t>(data.variance.size()));
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<Index>(i);
    const double whole = worth(all, false);
    std::vector<FrequencyInformation> out;
    for (std::size_t f = 0; f < day.frequencies_hz.size(); ++f) {
        FrequencyInformation info{.frequency_hz = day.frequencies_hz[f]};
        for (const DataRows& rows : data.rows)
            if (rows.frequency_index == f) info.energy_wh += rows.energy_wh;
        const auto own = rows_of(data, f, false);
        if (!own.empty()) {
            info.information_nats = worth(own, true);
            info.lost_nats = std::max(0.0, whole - worth(rows_of(data, f, true), false));
            info.nats_per_wh = info.energy_wh > 0 ? info.lost_nats / info.energy_wh : 0;
        }
        out.push_back(info);
    }
    return out;
}

VectorXd prior_of(const plan::Plan& plan, Index resistivities, Index thicknesses) {
    VectorXd sd(resistivities + thicknesses);
    sd.head(resistivities)
        .setConstant(std::max(1e-6, plan.uncertainty.resistivity_decades * std::numbers::ln10));
    sd.tail(thicknesses).setConstant(1);  // a thickness known to a factor e: next to nothing
    return sd;
}

/// Everything a question is answered from.
struct Prepared {
    QuestionData data;
    TwoGrounds grounds;     // two_grounds
    model::Response depth;  // depth: of the plan's earth, all parameters
    VectorXd depth_prior_sd, depth_slope;
    double depth_m = 0;
};

Prepared prepare(const plan::Plan& plan, const plan::DayResult& day, const FieldTable& fields) {
    const plan::Question& question = *plan.question;
    Prepared p{.data = data_of(plan, day, fields)};
    if (p.data.rows.empty()) return p;
    const model::LayeredEarth earth = plan::earth_of(plan);
    if (question.kind == plan::QuestionKind::two_grounds) {
        const model::LayeredEarth other = plan::earth_of(question.with_target);
        const auto unknowns = model::Unknowns::resistivities;
        const model::Response r0 = response_of(plan, day, p.data, earth, unknowns);
        const model::Response r1 = response_of(plan, day, p.data, other, unknowns);
        p.grounds = {.data_0 = r0.value,
                     .data_1 = r1.value,
                     .jacobian_0 = r0.jacobian,
                     .jacobian_1 = r1.jacobian,
                     .prior_sd_0 = prior_of(plan, r0.jacobian.cols(), 0),
                     .prior_sd_1 = prior_of(plan, r1.jacobian.cols(), 0),
                     .variance = p.data.variance,
                     .natural_variance = p.data.natural_variance,
                     .natural_sd_ln = plan.uncertainty.natural_noise_db / 10 * std::numbers::ln10};
        return p;
    }
    const auto unknowns = model::Unknowns::resistivities_and_thicknesses;
    p.depth = response_of(plan, day, p.data, earth, unknowns);
    const auto count = static_cast<Index>(earth.size());
    p.depth_prior_sd = prior_of(plan, count, count - 1);
    p.depth_slope = VectorXd::Zero(2 * count - 1);
    for (Index i = 0; i < question.interface; ++i) {
        p.depth_slope[count + i] = earth[static_cast<std::size_t>(i)].thickness_m;
        p.depth_m += p.depth_slope[count + i];
    }
    return p;
}

/// Variance of the depth from some of the data, (J'V^-1 J + prior^-1)^-1 seen along the depth; other
/// parameters known: only their own share of it.
double depth_variance(const Prepared& p, const std::vector<Index>& rows, double natural_factor) {
    const VectorXd weight = (p.data.variance + natural_factor * p.data.natural_variance)(rows).cwiseInverse();
    const MatrixXd jacobian = p.depth.jacobian(rows, Eigen::all);
    MatrixXd information = jacobian.transpose() * weight.asDiagonal() * jacobian;
    information.diagonal() += p.depth_prior_sd.cwiseAbs2().cwiseInverse();
    return p.depth_slope.dot(information.ldlt().solve(p.depth_slope));
}

Worth worth_of(const Prepared& p, plan::QuestionKind kind) {
    if (kind == plan::QuestionKind::two_grounds)
        return [&p](const std::vector<Index>& rows, bool known) {
            // Half the squared distance: what one draw is expected to tell (Kullback & Leibler 1951).
            const TwoGrounds& g = p.grounds;
            const VectorXd difference = (g.data_1 - g.data_0)(rows);
            const Gaussian gaussian(VectorXd::Zero(difference.size()), g.jacobian_0(rows, Eigen::all),
                                    known ? VectorXd::Zero(g.prior_sd_0.size()).eval() : g.prior_sd_0,
                                    (g.variance + g.natural_variance)(rows));
            return 0.5 * gaussian.product(difference, difference);
        };
    return [&p](const std::vector<Index>& rows, bool) {
        // Narrowing of the depth against the prior, nats: ln of the ratio of the standard deviations.
        const double prior = p.depth_slope.cwiseProduct(p.depth_prior_sd).squaredNorm();
        return 0.5 * std::log(prior / depth_variance(p, rows, 1));
    };
}

double probability_within(double within, double sd) { return std::erf(within / (std::sqrt(2.0) * sd)); }

}  // namespace

TwoGroundsOdds tell_apart(const TwoGrounds& grounds, double confidence, int draws, std::uint64_t seed) {
    const double needed = std::log(confidence / (1 - confidence));
    const run::CounterRandom level(seed, run::stream_of("question noise level"));
    int right = 0, confident = 0;
    for (int draw = 0; draw < draws; ++draw) {
        const double factor =
            std::exp(grounds.natural_sd_ln * level.normal(static_cast<std::uint64_t>(draw)));
        const VectorXd variance = grounds.variance + factor * grounds.natural_variance;
        const Gaussian zero(grounds.data_0, grounds.jacobian_0, grounds.prior_sd_0, variance);
        const Gaussian one(grounds.data_1, grounds.jacobian_1, grounds.prior_sd_1, variance);
        for (const bool truth : {false, true}) {
            const run::CounterRandom random(
                seed, run::combine(run::stream_of(truth ? "question one" : "question zero"),
                                   static_cast<std::uint64_t>(draw)));
            const Index parameters = truth ? grounds.prior_sd_1.size() : grounds.prior_sd_0.size();
            const VectorXd data = (truth ? one : zero)
                                      .draw(standard_normal(random, 0, variance.size()),
                                            standard_normal(random, 1u << 20, parameters));
            const double ln_ratio = one.ln_likelihood(data) - zero.ln_likelihood(data);
            right += (ln_ratio > 0) == truth;
            confident += truth ? ln_ratio >= needed : -ln_ratio >= needed;
        }
    }
    const Gaussian planned(grounds.data_0, grounds.jacobian_0, grounds.prior_sd_0,
                           grounds.variance + grounds.natural_variance);
    const VectorXd difference = grounds.data_1 - grounds.data_0;
    return {.probability_right = right / (2.0 * draws),
            .probability_confident = confident / (2.0 * draws),
            .distance = std::sqrt(std::max(0.0, planned.product(difference, difference)))};
}

std::vector<FrequencyInformation> question_information(const plan::Plan& plan, const plan::DayResult& day,
                                                       const FieldTable& fields) {
    if (!plan.question) return {};
    const Prepared p = prepare(plan, day, fields);
    if (p.data.rows.empty()) return {};
    return worth_by_frequency(day, p.data, worth_of(p, plan.question->kind));
}

Answer answer_question(const plan::Plan& plan, const plan::DayResult& day, const FieldTable& fields,
                       int draws, std::uint64_t seed) {
    Answer answer{};
    if (!plan.question) return answer;
    const plan::Question& question = *plan.question;
    answer.asked = true;
    answer.text = question.text;
    answer.two_grounds = question.kind == plan::QuestionKind::two_grounds;
    answer.confidence = question.confidence;
    answer.draws = draws;
    const Prepared p = prepare(plan, day, fields);
    for (const int s : p.data.stations)
        answer.stations.push_back(plan.stations[static_cast<std::size_t>(s)].name);
    if (p.data.rows.empty()) {
        answer.sentence = "No station that the question asks of was sent both loops: the data tell nothing.";
        return answer;
    }
    answer.frequencies = worth_by_frequency(day, p.data, worth_of(p, question.kind));
    const auto best =
        std::max_element(answer.frequencies.begin(), answer.frequencies.end(),
                         [](const auto& a, const auto& b) { return a.lost_nats < b.lost_nats; });
    if (answer.two_grounds) {
        const TwoGroundsOdds odds = tell_apart(p.grounds, question.confidence, draws, seed);
        answer.probability = odds.probability_confident;
        answer.probability_right = odds.probability_right;
        answer.distance = odds.distance;
        answer.sentence = fmt::format(
            "With the data of {} stations the two grounds are told apart with {:g} % confidence in {:.0f} % "
            "of "
            "cases, and the better-fitting ground is the true one in {:.0f} %; {:g} Hz tells most.",
            p.data.stations.size(), 100 * question.confidence, 100 * odds.probability_confident,
            100 * odds.probability_right, best->frequency_hz);
        return answer;
    }
    std::vector<Index> all(static_cast<std::size_t>(p.data.variance.size()));
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<Index>(i);
    const run::CounterRandom level(seed, run::stream_of("question noise level"));
    const double sd_ln = plan.uncertainty.natural_noise_db / 10 * std::numbers::ln10;
    int enough = 0;
    for (int draw = 0; draw < draws; ++draw) {
        const double factor = std::exp(sd_ln * level.normal(static_cast<std::uint64_t>(draw)));
        const double inside =
            probability_within(question.within_m, std::sqrt(depth_variance(p, all, factor)));
        answer.probability_right += inside / draws;
        enough += inside >= question.confidence;
    }
    answer.depth_sd_m = std::sqrt(depth_variance(p, all, 1));
    answer.distance = question.within_m / answer.depth_sd_m;
    answer.probability = static_cast<double>(enough) / draws;
    answer.sentence = fmt::format(
        "With the data of {} stations the interface at {:.3g} m is known to {:.2g} m (one standard "
        "deviation): "
        "within {:g} m in {:.0f} % of cases, where {:g} % is asked for; {:g} Hz tells most.",
        p.data.stations.size(), p.depth_m, answer.depth_sd_m, question.within_m,
        100 * answer.probability_right, 100 * question.confidence, best->frequency_hz);
    return answer;
}

}  // namespace ampturn::rehearse
