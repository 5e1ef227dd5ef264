// SPDX-License-Identifier: Apache-2.0
// Parameters that bring a model nearest to measurements, how sure they are, and the plain straight line to
// beat.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Residuals, model less measurement, for parameters between 0 and 1. NaN or a changing number of them isn't
/// allowed.
using Residuals = std::function<std::vector<double>(std::span<const double> parameters)>;

struct FitOptions {
    int most_calls = 200;  ///< of the model
    double step = 0.02;    ///< of the differences that stand for derivatives, as a share of the range
    double tolerance =
        1e-6;  ///< relative change of the sum of squares, or of the parameters, at which it ends
};

struct Fit {
    std::vector<double> parameters;       ///< 0..1
    std::vector<double> standard_errors;  ///< the same; NaN where the measurements don't tell, or the
                                          ///< parameter lies on its bound
    Field<double> correlations;           ///< of the parameters' errors; NaN likewise
    double root_mean_square = 0;          ///< of the residuals
    int calls = 0;
    bool settled = false;  ///< by `tolerance` rather than by most_calls
};

/// Change of the residuals for a change of each parameter over its whole range, by central differences of
/// `step` to either side or as much of it as 0..1 leaves; one residual a row, one parameter a column. Two
/// calls a parameter. One-sided differences won't do: where two parameters act nearly
/// alike, the curvature they leave in looks like a difference between the two.
Field<double> residual_jacobian(const Residuals& residuals, std::span<const double> parameters, double step);

/// Levenberg-Marquardt (Marquardt 1963, J. Soc. Ind. Appl. Math. 11, 431-441, as in MINPACK: Moré 1978,
/// through Eigen's LevenbergMarquardt), central differences, parameters kept in 0..1 by x = (1 + sin s)/2.
/// Standard errors from the linearised covariance s² (JᵀJ)⁻¹ at the end, s² = sum of
/// squares/(n − p). Throws InputError unless there are more residuals than parameters.
Fit fit_least_squares(const Residuals& residuals, std::span<const double> from, const FitOptions& options);

/// y = intercept + slope x.
struct StraightLine {
    double intercept = 0;
    double slope = 0;
    double root_mean_square = 0;  ///< of what it leaves
};
/// Least squares; at least two points with different x, else the slope is 0.
StraightLine fit_line(std::span<const double> x, std::span<const double> y);

}  // namespace lielow
