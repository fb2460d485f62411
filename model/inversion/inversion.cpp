#include "model/inversion/inversion.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>

#include "model/base/check_range.hpp"

namespace ampturn::model::inversion {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

void check(const InversionData& data, const VectorXd& start, const ParameterBounds& bounds) {
    if (data.value.size() == 0 || data.value.size() != data.sd.size())
        throw RangeError("data.sd", std::to_string(data.sd.size()) + " standard deviations",
                         "as many as data, " + std::to_string(data.value.size()) + ", at least one");
    if (!(data.sd.array() > 0).all() || !data.value.allFinite() || !data.sd.allFinite())
        throw RangeError("data", "a value that is not finite or a standard deviation not above 0",
                         "finite data, standard deviations above 0");
    if (start.size() == 0 || !(start.array() >= bounds.lowest).all() ||
        !(start.array() <= bounds.highest).all())
        throw RangeError("start", "a start model outside the bounds", "one inside");
}

bool inside(const VectorXd& m, const ParameterBounds& bounds) {
    return m.allFinite() && (m.array() >= bounds.lowest).all() && (m.array() <= bounds.highest).all();
}

/// R'R of the first difference.
MatrixXd roughness_matrix(Eigen::Index count) {
    MatrixXd r = MatrixXd::Zero(count, count);
    for (Eigen::Index i = 0; i + 1 < count; ++i) {
        r(i, i) += 1;
        r(i + 1, i + 1) += 1;
        r(i, i + 1) -= 1;
        r(i + 1, i) -= 1;
    }
    return r;
}

struct Trial {
    double log10_mu;
    VectorXd parameters, response;
    double misfit;
};

/// The family of models of one linearisation, one for every multiplier.
class SmoothFamily {
  public:
    SmoothFamily(const InversionData& data, const Forward& forward, const ParameterBounds& bounds,
                 const VectorXd& parameters, const Response& response, const MatrixXd& roughness)
        : data_(data), forward_(forward), bounds_(bounds), old_(parameters), roughness_(roughness) {
        const MatrixXd weighted = response.jacobian.array().colwise() / data.sd.array();
        const VectorXd target =
            ((data.value - response.value + response.jacobian * parameters).array() / data.sd.array());
        normal_ = weighted.transpose() * weighted;
        right_ = weighted.transpose() * target;
    }

    /// step: 1 the whole way from the old model, less when the whole way overshoots.
    Trial at(double log10_mu, double step) const {
        const MatrixXd g = std::pow(10.0, log10_mu) * roughness_ + normal_;
        Trial trial{.log10_mu = log10_mu,
                    .parameters = old_ + step * (g.ldlt().solve(right_) - old_),
                    .response = {},
                    .misfit = std::numeric_limits<double>::infinity()};
        if (!inside(trial.parameters, bounds_)) return trial;
        trial.response = forward_(trial.parameters, false).value;
        trial.misfit = misfit_rms(data_, trial.response);
        return trial;
    }
    const MatrixXd& normal() const { return normal_; }

  private:
    const InversionData& data_;
    const Forward& forward_;
    const ParameterBounds& bounds_;
    const VectorXd& old_;
    const MatrixXd& roughness_;
    MatrixXd normal_;
    VectorXd right_;
};

/// Smallest misfit over the multiplier: a coarse grid, then golden section about its best point.
Trial smallest_misfit(const SmoothFamily& family, double step, double around) {
    Trial best = family.at(around, step);
    for (const double offset : {-3.0, -2.0, -1.0, 1.0, 2.0, 3.0}) {
        Trial trial = family.at(around + offset, step);
        if (trial.misfit < best.misfit) best = std::move(trial);
    }
    double width = 0.5;
    for (int i = 0; i < 3; ++i, width /= 2)
        for (const double side : {-width, width}) {
            Trial trial = family.at(best.log10_mu + side, step);
            if (trial.misfit < best.misfit) {
                best = std::move(trial);
                break;
            }
        }
    return best;
}

/// Largest multiplier that still meets the target, starting from one that does.
Trial smoothest(const SmoothFamily& family, Trial meets, double step, double target_rms) {
    double low = meets.log10_mu, high = low;
    for (const double stride : {0.5, 1.0, 2.0, 4.0}) {  // up to 7.5 decades
        high += stride;
        Trial trial = family.at(high, step);
        if (trial.misfit > target_rms) break;
        low = high;
        meets = std::move(trial);
    }
    for (int i = 0; i < 8 && high - low > 0.01; ++i) {
        const double middle = 0.5 * (low + high);
        Trial trial = family.at(middle, step);
        if (trial.misfit <= target_rms) {
            low = middle;
            meets = std::move(trial);
        } else {
            high = middle;
        }
    }
    return meets;
}

double start_log10_mu(const MatrixXd& normal) { return std::log10(std::max(1e-12, normal.trace())); }

/// What both kinds report alike; the rest is left empty.
InversionResult where_it_ended(const VectorXd& parameters, const Response& response, double misfit_rms,
                               double target_rms, int iterations) {
    return {.parameters = parameters,
            .response = response.value,
            .jacobian = response.jacobian,
            .misfit_rms = misfit_rms,
            .reached_target = misfit_rms <= target_rms,
            .iterations = iterations,
            .damping = 0,
            .roughness = 0,
            .covariance = {},
            .resolution = {}};
}

}  // namespace

double misfit_rms(const InversionData& data, const VectorXd& response) {
    const VectorXd r = (data.value - response).array() / data.sd.array();
    return std::sqrt(r.squaredNorm() / static_cast<double>(r.size()));
}

InversionResult invert_smooth(const InversionData& data, const Forward& forward, const VectorXd& start,
                              const SmoothOptions& options) {
    check(data, start, options.bounds);
    const MatrixXd roughness = roughness_matrix(start.size());
    VectorXd m = start;
    Response response = forward(m, true);
    double misfit = misfit_rms(data, response.value), rough = m.dot(roughness * m);
    std::optional<double> log10_mu;
    int iteration = 0;
    for (; iteration < options.iterations_max; ++iteration) {
        const SmoothFamily family(data, forward, options.bounds, m, response, roughness);
        if (!log10_mu) log10_mu = start_log10_mu(family.normal());
        std::optional<Trial> next;
        for (double step = 1; !next && step > 0.01; step /= 2) {
            Trial trial = smallest_misfit(family, step, *log10_mu);
            if (trial.misfit <= options.target_rms)
                next = smoothest(family, std::move(trial), step, options.target_rms);
            else if (trial.misfit < misfit)
                next = std::move(trial);
        }
        if (!next) break;  // no multiplier and no shorter step helps: this is the best there is
        const double new_rough = next->parameters.dot(roughness * next->parameters);
        const bool had_target = misfit <= options.target_rms;
        const bool has_target = next->misfit <= options.target_rms;
        if (had_target && new_rough >= rough) break;  // as smooth as it gets
        const bool settled =
            has_target ? had_target && std::abs(new_rough - rough) <= options.tolerance * (rough + 1e-12)
                       : misfit - next->misfit <= options.tolerance * misfit;
        m = std::move(next->parameters);
        misfit = next->misfit;
        rough = new_rough;
        log10_mu = next->log10_mu;
        response = forward(m, true);
        if (settled) {
            ++iteration;
            break;
        }
    }
    const SmoothFamily last(data, forward, options.bounds, m, response, roughness);
    const double mu = std::pow(10.0, log10_mu.value_or(start_log10_mu(last.normal())));
    const MatrixXd g = mu * roughness + last.normal();
    const auto factor = g.ldlt();
    InversionResult result = where_it_ended(m, response, misfit, options.target_rms, iteration);
    result.resolution = factor.solve(last.normal());
    result.covariance = factor.solve(result.resolution.transpose());
    result.damping = mu;
    result.roughness = rough;
    return result;
}

InversionResult invert_few(const InversionData& data, const Forward& forward, const VectorXd& start,
                           const FewLayerOptions& options) {
    check(data, start, options.bounds);
    VectorXd m = start;
    Response response = forward(m, true);
    double misfit = misfit_rms(data, response.value);
    double lambda = 1e-1;
    int iteration = 0;
    for (bool settled = false; iteration < options.iterations_max && !settled; ++iteration) {
        const MatrixXd weighted = response.jacobian.array().colwise() / data.sd.array();
        const VectorXd residual = (data.value - response.value).array() / data.sd.array();
        const MatrixXd normal = weighted.transpose() * weighted;
        const VectorXd gradient = weighted.transpose() * residual;
        const double floor = 1e-12 * normal.diagonal().maxCoeff();  // keeps unseen parameters where they are
        bool helped = false;
        for (; lambda < 1e12 && !helped; lambda *= 10) {
            MatrixXd g = normal;
            g.diagonal() += lambda * normal.diagonal();
            g.diagonal().array() += floor;
            VectorXd change = g.ldlt().solve(gradient);
            const double longest = change.cwiseAbs().maxCoeff();
            if (longest > options.longest_step) change *= options.longest_step / longest;
            const VectorXd trial = m + change;
            if (!inside(trial, options.bounds)) continue;
            const VectorXd value = forward(trial, false).value;
            const double trial_misfit = misfit_rms(data, value);
            if (!(trial_misfit < misfit)) continue;
            helped = true;
            settled = misfit * misfit - trial_misfit * trial_misfit <= options.tolerance * misfit * misfit;
            m = trial;
            misfit = trial_misfit;
            lambda /= 100;  // the loop multiplies by ten once more
        }
        if (!helped) break;
        lambda = std::max(lambda, 1e-9);
        response = forward(m, true);
    }
    const MatrixXd weighted = response.jacobian.array().colwise() / data.sd.array();
    const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(weighted.transpose() * weighted);
    const double smallest = 1e-10 * std::max(eigen.eigenvalues().maxCoeff(), 1e-300);
    VectorXd inverse = eigen.eigenvalues(), seen = inverse;
    for (Eigen::Index i = 0; i < inverse.size(); ++i) {
        seen[i] = inverse[i] > smallest ? 1 : 0;
        inverse[i] = inverse[i] > smallest ? 1 / inverse[i] : 0;
    }
    const MatrixXd& v = eigen.eigenvectors();
    InversionResult result = where_it_ended(m, response, misfit, options.target_rms, iteration);
    result.covariance = v * inverse.asDiagonal() * v.transpose();
    result.resolution = v * seen.asDiagonal() * v.transpose();
    result.damping = lambda;
    return result;
}

double depth_of_investigation_m(const InversionData& data, const MatrixXd& jacobian, const VectorXd& top_m,
                                double threshold) {
    double sum = 0;
    for (Eigen::Index j = jacobian.cols() - 1; j >= 0; --j) {
        const double layer = (jacobian.col(j).array().abs() / data.sd.array()).sum();
        sum += layer;
        if (sum >= threshold) {
            if (j + 1 == jacobian.cols()) return top_m[j];
            // Inside the layer, in proportion.
            const double share = layer > 0 ? (sum - threshold) / layer : 0;
            return top_m[j] + share * (top_m[j + 1] - top_m[j]);
        }
    }
    return 0;
}

}  // namespace ampturn::model::inversion
