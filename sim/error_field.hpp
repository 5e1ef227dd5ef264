// SPDX-License-Identifier: Apache-2.0
// Errors of a DEM as they might be: a Gaussian random field with a given spread and correlation length.
//
// A moving average of white noise (Oliver 1995, "Moving averages for Gaussian simulation in two and three
// dimensions", Mathematical Geology 27, 939-960; used for errors of elevation models by Oksanen & Sarjakoski
// 2005, Computers & Geosciences 31, 1015-1027; both from memory). Weights exp(-2 (d/L)²) give the Gaussian
// covariance s² exp(-(d/L)²), and fall apart into one average along the rows and one down them.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

struct ErrorField {
    double spread = 0;    ///< standard error of one cell, in the unit of the result, >= 0
    double length_m = 0;  ///< distance at which two cells' errors correlate by 1/e, >= 0
    std::uint64_t seed = 0;
};

/// Weights of the average along one axis, from the outermost to the outermost, odd in number, symmetric, the
/// sum of their squares 1. `step_m`: of the cells. The length 0 gives the one weight 1: cells' errors have
/// nothing in common.
std::vector<double> average_weights(double length_m, double step_m);

/// Correlation of two cells `lag` apart along an axis with those weights, exactly: their products' sum.
double average_correlation(const std::vector<double>& weights, std::size_t lag);

/// One draw: mean 0, variance spread² in every cell, correlation of cells (i, j) apart the product of
/// average_correlation along both axes. Hangs on its arguments alone, not on the number of threads. Holds two
/// arrays of the grid's size.
Field<float> draw_error(const Grid& grid, const ErrorField& error);

}  // namespace lielow
