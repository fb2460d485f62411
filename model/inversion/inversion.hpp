#pragma once

#include <Eigen/Core>
#include <functional>
#include <string>

/// One-dimensional inversion. Parameters are natural logarithms, so they cannot turn negative; data are any
/// real numbers with standard deviations (here ln of apparent resistivity, and phase in radians).
namespace ampturn::model::inversion {

struct InversionData {
    Eigen::VectorXd value, sd;  // sd > 0
};

/// What a ground with these parameters would give. jacobian: data by parameters; left empty unless asked for.
struct Response {
    Eigen::VectorXd value;
    Eigen::MatrixXd jacobian;
};
using Forward = std::function<Response(const Eigen::VectorXd& parameters, bool with_jacobian)>;

/// Parameters outside are not tried.
struct ParameterBounds {
    double lowest, highest;
};

struct InversionResult {
    Eigen::VectorXd parameters;
    Eigen::VectorXd response;
    Eigen::MatrixXd jacobian;  // at the end
    double misfit_rms;         // sqrt(mean(((d - F)/sd)^2)): 1 is a fit to the error bars
    bool reached_target;       // misfit_rms at or below what was asked for
    int iterations;
    double damping;              // mu of the smooth, lambda of the few-layer inversion, at the end
    double roughness;            // |R m|^2; 0 for the few-layer inversion
    Eigen::MatrixXd covariance;  // of the parameters, from the error bars of the data
    Eigen::MatrixXd resolution;  // what is seen of the truth: identity when all of it is
};

/// Smoothest ground that fits: minimise |R m|^2 subject to misfit_rms <= target, R the first difference
/// between neighbouring layers. At each step the whole range of the multiplier is searched for the smallest
/// misfit; once the target can be met, for the smoothest ground that meets it.
/// Source: Constable, Parker & Constable (1987), Geophysics 52, 289.
/// With G = mu R'R + J'WJ:  resolution G^-1 J'WJ,  covariance G^-1 J'WJ G^-1.
struct SmoothOptions {
    double target_rms = 1.0;
    int iterations_max = 20;
    double tolerance = 1e-3;             // relative change of roughness at which it stops
    ParameterBounds bounds{-4.6, 13.8};  // ln of 0.01 and 1e6 ohm m
};
InversionResult invert_smooth(const InversionData& data, const Forward& forward, const Eigen::VectorXd& start,
                              const SmoothOptions& options = {});

/// Least squares with few parameters by Levenberg (1944) and Marquardt (1963): (J'WJ + lambda diag(J'WJ)) dm
/// = J'W r, lambda down tenfold after a step that helps, up tenfold after one that does not.
/// covariance (J'WJ)^-1 (pseudo-inverse where a direction is not seen at all), resolution from the same.
struct FewLayerOptions {
    double target_rms = 1.0;  // only for reached_target: it goes on to the minimum
    int iterations_max = 60;
    double tolerance = 1e-6;    // relative change of the sum of squares at which it stops
    double longest_step = 1.0;  // of any parameter in one step (ln 2.7)
    ParameterBounds bounds{-4.6, 13.8};
};
InversionResult invert_few(const InversionData& data, const Forward& forward, const Eigen::VectorXd& start,
                           const FewLayerOptions& options = {});

/// sqrt(mean(((d - F)/sd)^2)).
double misfit_rms(const InversionData& data, const Eigen::VectorXd& response);

/// Depth down to which the data see a smooth model: from below, the summed weighted sensitivity of the layers
/// S_j = sum_i |J_ij|/sd_i (per unit of the parameter) is added up; the depth is where it passes the
/// threshold. Source: Christiansen & Auken (2012), Geophysics 77, WB171 (from memory; their threshold 0.8).
/// top_m: depth of each layer's top. Returns 0 when even the whole sum stays below.
double depth_of_investigation_m(const InversionData& data, const Eigen::MatrixXd& jacobian,
                                const Eigen::VectorXd& top_m, double threshold = 0.8);

}  // namespace ampturn::model::inversion
