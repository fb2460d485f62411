#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "scheduler/plan/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/result.hpp"
#include "scheduler/rehearse/schedule.hpp"

namespace ampturn::rehearse {

/// Two grounds, or one and its uncertainty, as the planned data see them; all lists run over the data (ln
/// rho_a and phase of xy and yx, station by station, frequency by frequency).
///
/// Gaussian errors, and host resistivities known only to `prior_sd` (ln): data covariance C = V + J S J', V
/// diagonal (with least_error of invert.hpp in it). Draws follow C and the noise level; the crew knows the
/// noise it had (its own bars).

/// How to tell ground 1 from ground 0. Posterior odds are the likelihood ratio (equal priors).
struct TwoGrounds {
    Eigen::VectorXd data_0, data_1;          // noise-free
    Eigen::MatrixXd jacobian_0, jacobian_1;  // data by uncertain parameters
    Eigen::VectorXd prior_sd_0, prior_sd_1;
    Eigen::VectorXd variance;          // of the data, at the planned noise level; the part of untied sensors
    Eigen::VectorXd natural_variance;  // and the part that goes with the natural field's level
    double natural_sd_ln = 0;          // of the natural field's power, log-normal
};
struct TwoGroundsOdds {
    double probability_right;      // the likelihood ratio points to the true ground
    double probability_confident;  // the true ground's posterior reaches `confidence`
    double distance;               // sqrt((d1 - d0)' C0^-1 (d1 - d0)) at the planned noise level
};
/// `draws` data sets from each ground. For equal covariances and a fixed noise level the closed form is
/// Phi(D/2) and Phi(D/2 - ln(c/(1 - c))/D) (Kay 1998, Fundamentals of Statistical Signal Processing II, from
/// memory).
TwoGroundsOdds tell_apart(const TwoGrounds& grounds, double confidence, int draws, std::uint64_t seed);

/// The answer to a plan's question from a simulated day: what was sent is what counts. Not asked: an Answer
/// with asked = false.
Answer answer_question(const plan::Plan& plan, const plan::DayResult& day, const FieldTable& fields,
                       int draws, std::uint64_t seed);

/// Worth of each frequency for the question, for `tune`: frequency, lost_nats per watt-hour. Same data as in
/// Answer::frequencies, without draws.
std::vector<FrequencyInformation> question_information(const plan::Plan& plan, const plan::DayResult& day,
                                                       const FieldTable& fields);

}  // namespace ampturn::rehearse
