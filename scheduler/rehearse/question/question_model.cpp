#include "scheduler/rehearse/question/question_model.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::question {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// V: diagonal, and blocks of one value over the data that share an error (Sherman & Morrison 1950).
class DataErrors {
  public:
    DataErrors(const VectorXd& variance, const std::vector<SharedError>& shared)
        : variance_(variance), weight_(variance.cwiseInverse()), shared_(shared) {}

    /// V^-1 times each column.
    MatrixXd solve(const MatrixXd& x) const {
        MatrixXd out = weight_.asDiagonal() * x;
        for (const SharedError& s : shared_) {
            if (s.variance == 0) continue;
            Eigen::RowVectorXd sum = Eigen::RowVectorXd::Zero(x.cols());
            for (const Index i : s.data) sum += out.row(i);
            sum /= 1 / s.variance + weight_of(s);
            for (const Index i : s.data) out.row(i) -= weight_[i] * sum;
        }
        return out;
    }
    double ln_determinant() const {
        double sum = variance_.array().log().sum();
        for (const SharedError& s : shared_) sum += std::log1p(s.variance * weight_of(s));
        return sum;
    }
    /// From independent standard normal values: one a datum, one a shared error.
    VectorXd draw(const VectorXd& own, const VectorXd& common) const {
        VectorXd out = variance_.cwiseSqrt().cwiseProduct(own);
        for (std::size_t g = 0; g < shared_.size(); ++g)
            for (const Index i : shared_[g].data)
                out[i] += std::sqrt(shared_[g].variance) * common[static_cast<Index>(g)];
        return out;
    }

  private:
    double weight_of(const SharedError& s) const {
        double sum = 0;
        for (const Index i : s.data) sum += weight_[i];
        return sum;
    }

    VectorXd variance_, weight_;
    const std::vector<SharedError>& shared_;
};

/// N(mean, V + J S J'); the small matrix of the parameters is all that is factored (Woodbury).
class Gaussian {
  public:
    Gaussian(const VectorXd& mean, const MatrixXd& jacobian, const VectorXd& prior_sd,
             const DataErrors& errors)
        : mean_(mean),
          errors_(errors),
          scaled_(jacobian * prior_sd.asDiagonal()),
          weighted_(errors.solve(scaled_)) {
        MatrixXd small = scaled_.transpose() * weighted_;
        small.diagonal().array() += 1;
        factor_.compute(small);
        ln_determinant_ =
            errors.ln_determinant() + 2 * MatrixXd(factor_.matrixL()).diagonal().array().log().sum();
    }
    /// C^-1 x.
    VectorXd solve(const VectorXd& x) const {
        return errors_.solve(x) - weighted_ * factor_.solve(weighted_.transpose() * x);
    }
    double ln_likelihood(const VectorXd& data) const {
        const VectorXd r = data - mean_;
        return -0.5 * (r.dot(solve(r)) + ln_determinant_);
    }
    /// A data set; errors as drawn, parameters from independent standard normal values.
    VectorXd draw(const VectorXd& errors, const VectorXd& parameters) const {
        return mean_ + errors + scaled_ * parameters;
    }

  private:
    VectorXd mean_;
    DataErrors errors_;
    MatrixXd scaled_, weighted_;
    Eigen::LLT<MatrixXd> factor_;
    double ln_determinant_ = 0;
};

VectorXd standard_normal(const run::CounterRandom& random, std::uint64_t first, Index count) {
    VectorXd values(count);
    for (Index i = 0; i < count; ++i) values[i] = random.normal(first + static_cast<std::uint64_t>(i));
    return values;
}

Discrimination separation_of(const TwoGrounds& grounds, const VectorXd& variance) {
    const VectorXd difference = grounds.data_1 - grounds.data_0;
    const DataErrors errors(variance, grounds.shared);
    const VectorXd u0 =
        Gaussian(grounds.data_0, grounds.jacobian_0, grounds.prior_sd_0, errors).solve(difference);
    const VectorXd u1 =
        Gaussian(grounds.data_1, grounds.jacobian_1, grounds.prior_sd_1, errors).solve(difference);
    // d(x'C^-1 x) = -(C^-1 x)' dC (C^-1 x).
    return {.distance2 = std::max(0.0, 0.5 * difference.dot(u0 + u1)),
            .slope = 0.5 * (u0.cwiseAbs2() + u1.cwiseAbs2())};
}

Discrimination separation_of(const DepthSought& depth, const VectorXd& variance) {
    const MatrixXd weighted = DataErrors(variance, depth.shared).solve(depth.jacobian);
    MatrixXd information = depth.jacobian.transpose() * weighted;
    information.diagonal() += depth.prior_sd.cwiseAbs2().cwiseInverse();
    const VectorXd x = information.ldlt().solve(depth.slope);
    const double depth_variance = depth.slope.dot(x), within2 = depth.within_m * depth.within_m;
    // var = s'M^-1 s, dvar = -x' dM x, and M grows with J'V^-1 J.
    const VectorXd seen = weighted * x / depth_variance;
    return {.distance2 = within2 / depth_variance, .slope = within2 * seen.cwiseAbs2()};
}

double prior_variance(const DepthSought& depth) {
    return depth.slope.cwiseProduct(depth.prior_sd).squaredNorm();
}

/// What one run of the Monte Carlo came to.
struct Outcome {
    double right, confident;  // shares
};

/// Runs are functions of their number, added up in its order: threads cannot show.
Odds mean_of(int runs, unsigned threads, const std::function<Outcome(std::uint64_t run_index)>& outcome_of) {
    std::vector<Outcome> outcomes(static_cast<std::size_t>(runs));
    constexpr std::size_t together = 16;
    base::parallel_for((outcomes.size() + together - 1) / together, threads, [&](std::size_t part) {
        for (std::size_t i = part * together; i < std::min(outcomes.size(), (part + 1) * together); ++i)
            outcomes[i] = outcome_of(i);
    });
    double right = 0, confident = 0;
    for (const Outcome& outcome : outcomes) {
        right += outcome.right;
        confident += outcome.confident;
    }
    return {.probability_right = right / runs, .probability_confident = confident / runs};
}

/// The variances of a run, whose natural field is as strong as it happens to be.
VectorXd drawn_variance(const DataNoise& noise, std::uint64_t seed, std::uint64_t run_index) {
    const run::CounterRandom level(seed, run::stream_of("question noise level"));
    return noise.variance + std::exp(noise.natural_sd_ln * level.normal(run_index)) * noise.natural_variance;
}

Odds odds_of(const TwoGrounds& grounds, const DataNoise& noise, double confidence,
             const OddsOptions& options) {
    const double needed = std::log(confidence / (1 - confidence));
    return mean_of(options.runs, options.threads, [&](std::uint64_t run_index) {
        const DataErrors errors(drawn_variance(noise, options.seed, run_index), grounds.shared);
        const Gaussian zero(grounds.data_0, grounds.jacobian_0, grounds.prior_sd_0, errors);
        const Gaussian one(grounds.data_1, grounds.jacobian_1, grounds.prior_sd_1, errors);
        Outcome outcome{};
        for (const bool truth : {false, true}) {
            const run::CounterRandom random(
                options.seed,
                run::combine(run::stream_of(truth ? "question one" : "question zero"), run_index));
            const Index parameters = truth ? grounds.prior_sd_1.size() : grounds.prior_sd_0.size();
            const VectorXd drawn =
                errors.draw(standard_normal(random, 0, noise.variance.size()),
                            standard_normal(random, 1u << 21, static_cast<Index>(grounds.shared.size())));
            const VectorXd data =
                (truth ? one : zero).draw(drawn, standard_normal(random, 1u << 20, parameters));
            const double ln_ratio = one.ln_likelihood(data) - zero.ln_likelihood(data);
            outcome.right += (ln_ratio > 0) == truth ? 0.5 : 0;
            outcome.confident += (truth ? ln_ratio >= needed : -ln_ratio >= needed) ? 0.5 : 0;
        }
        return outcome;
    });
}

Odds odds_of(const DepthSought& depth, const DataNoise& noise, double confidence,
             const OddsOptions& options) {
    return mean_of(options.runs, options.threads, [&](std::uint64_t run_index) {
        const double within_over_sd =
            std::sqrt(separation_of(depth, drawn_variance(noise, options.seed, run_index)).distance2);
        const double inside = std::erf(within_over_sd / std::sqrt(2.0));
        return Outcome{inside, inside >= confidence ? 1.0 : 0.0};
    });
}

}  // namespace

Hypotheses with_exact_gains(Hypotheses sought) {
    std::visit([](auto& s) { s.shared.clear(); }, sought);
    return sought;
}

Discrimination separation(const Hypotheses& sought, const VectorXd& variance) {
    return std::visit([&](const auto& s) { return separation_of(s, variance); }, sought);
}

double information_nats(const Hypotheses& sought, double distance2) {
    if (const auto* depth = std::get_if<DepthSought>(&sought))
        return 0.5 * std::log(prior_variance(*depth) * distance2 / (depth->within_m * depth->within_m));
    return 0.5 * distance2;
}

double information_alone_nats(const Hypotheses& sought, const VectorXd& variance) {
    if (const auto* grounds = std::get_if<TwoGrounds>(&sought)) {
        const VectorXd difference = grounds->data_1 - grounds->data_0;
        return 0.5 * difference.dot(DataErrors(variance, grounds->shared).solve(difference).col(0));
    }
    return information_nats(sought, separation(sought, variance).distance2);
}

Odds odds(const Hypotheses& sought, const DataNoise& noise, double confidence, const OddsOptions& options) {
    return std::visit([&](const auto& s) { return odds_of(s, noise, confidence, options); }, sought);
}

}  // namespace ampturn::rehearse::question
