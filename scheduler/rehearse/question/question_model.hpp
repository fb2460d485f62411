#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <variant>
#include <vector>

namespace ampturn::rehearse::question {

/// What is sought in the ground, as data with Gaussian errors see it. All lists run over the data.
///
/// Host resistivities are known only to `prior_sd` (ln): covariance of the data C = V + J S J', S = diag(prior_sd^2), V the errors of the
/// data: diagonal, but for what some share. MonteCarlo follow C and the noise level; the crew knows the noise it had (its own bars).

/// An error that some data have in common, in the same size: a sensor's gain at every station it goes to. A datum has at most
/// one.
struct SharedError {
    std::vector<Eigen::Index> data;
    double variance;
};

/// One of two grounds. Posterior odds are the likelihood ratio (equal priors).
struct TwoGrounds {
    Eigen::VectorXd data_0, data_1;          // noise-free
    Eigen::MatrixXd jacobian_0, jacobian_1;  // data by uncertain parameters
    Eigen::VectorXd prior_sd_0, prior_sd_1;
    std::vector<SharedError> shared;
};

/// A depth: a linear function of the parameters (ln), all of them free within their priors.
struct DepthSought {
    Eigen::MatrixXd jacobian;
    Eigen::VectorXd prior_sd, slope;  // slope: d depth / d parameter, m
    double within_m;                  // how well it must be known
    std::vector<SharedError> shared;
};

using Hypotheses = std::variant<TwoGrounds, DepthSought>;

/// The same with nothing shared.
Hypotheses with_exact_gains(Hypotheses sought);

/// How far apart the answers lie, in standard deviations, squared:
///   two grounds  the mean of (d1 - d0)' C^-1 (d1 - d0) over both grounds' C (Mahalanobis distance; half of it is
///                what one data set is expected to tell, nats: Kullback & Leibler 1951, equal covariances)
///   depth        (within / standard deviation)^2, the deviation from (J'V^-1 J + S^-1)^-1
/// It falls with every variance and, as a function of 1/variance, is concave (parallel sums of positive
/// matrices: Anderson & Duffin 1969, from memory). An infinite variance is a datum that is not there.
struct Discrimination {
    double distance2;
    Eigen::VectorXd slope;  // -d distance2 / d variance, datum by datum; >= 0
};
Discrimination separation(const Hypotheses& sought, const Eigen::VectorXd& variance);

/// What data at this distance tell, nats: half the squared distance of two grounds; of a depth, the logarithm
/// of how much narrower it is known than before.
double information_nats(const Hypotheses& sought, double distance2);

/// What one group of data would tell, nats, with the host known exactly and the sensors as well as they are (of a
/// depth: as above).
double information_alone_nats(const Hypotheses& sought, const Eigen::VectorXd& variance);

struct DataNoise {
    Eigen::VectorXd variance;          // at the planned noise level, without
    Eigen::VectorXd natural_variance;  // the part that goes with the natural field's level
    double natural_sd_ln = 0;          // of the natural field's power, log-normal
};
/// Two grounds: how often the likelihood ratio points to the true one, and how often the true ground's
/// posterior reaches `confidence`, over so many data sets of each. For equal covariances and a fixed noise
/// level the closed form is Phi(D/2) and Phi(D/2 - ln(c/(1 - c))/D) (Kay 1998, Fundamentals of Statistical
/// Signal Processing II, from memory). Depth: mean probability to be inside the bounds, and how often it
/// reaches `confidence`.
struct Odds {
    double probability_right, probability_confident;
};
struct OddsOptions {
    int runs;  // 1 or more
    std::uint64_t seed;
    unsigned threads = 1;  // do not change the result
};
Odds odds(const Hypotheses& sought, const DataNoise& noise, double confidence, const OddsOptions& options);

}  // namespace ampturn::rehearse::question
