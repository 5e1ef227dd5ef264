// SPDX-License-Identifier: Apache-2.0
// Designs: where in the unit cube to try a model. Each is a matrix, one trial a row, one parameter a column,
// 0..1.
#pragma once

#include <cstdint>

#include "sim/grid.hpp"

namespace lielow {

/// Every combination of `levels` evenly spread values of each parameter, ends included (one level: the
/// middle); the last parameter runs fastest. Throws InputError above 1e6 trials.
Field<double> grid_design(int parameters, int levels);

/// Most parameters that sobol_design knows.
inline constexpr int sobol_most_parameters = 20;

/// The first `trials` points of Sobol's sequence (Sobol' 1967, USSR Comput. Math. Math. Phys. 7, 86-112) with
/// the direction numbers of Joe & Kuo 2008 (SIAM J. Sci. Comput. 30, 2635-2654), in Gray-code order (Antonov
/// & Saleev 1979), each shifted by half a step of `trials` rounded up to a power of two, so that no value is
/// 0. Best with a power of two.
Field<double> sobol_design(int parameters, int trials);

/// One value from each of `trials` equal strata of every parameter, the strata paired at random (McKay,
/// Beckman & Conover 1979, Technometrics 21, 239-245).
Field<double> latin_hypercube_design(int parameters, int trials, std::uint64_t seed);

}  // namespace lielow
