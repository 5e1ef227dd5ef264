// SPDX-License-Identifier: Apache-2.0
// Which parameters a result hangs on.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Trials for variance-based indices, one a row: two base samples A and B of `base_trials` rows, then for
/// each parameter A with that parameter's column from B (Saltelli et al. 2010, Comput. Phys. Commun. 181,
/// 259-270). base_trials × (parameters
/// + 2) rows; A and B are the two halves of a Sobol design. At most half of sobol_most_parameters parameters.
Field<double> variance_design(int parameters, int base_trials);

/// Shares of the result's variance.
struct VarianceIndex {
    double first = 0;  ///< by the parameter alone
    double total = 0;  ///< by the parameter and all it interacts with
};

/// From the results of a variance_design in its order: first-order indices after Saltelli et al. 2010 (their
/// table 2, b), total ones after Jansen 1999 (Comput. Phys. Commun. 117, 35-43). All 0 where the result never
/// changes.
std::vector<VarianceIndex> variance_indices(std::span<const double> results, int parameters);

/// Trials for elementary effects, one a row: `paths` paths of parameters + 1 trials, each of which moves one
/// parameter by half the range or a little more on a grid of `levels` (even) values (Morris 1991,
/// Technometrics 33, 161-174).
Field<double> morris_design(int parameters, int paths, int levels, std::uint64_t seed);

/// Of the change of the result for a change of the parameter over its whole range.
struct ElementaryEffect {
    double mean = 0;  ///< μ
    double mean_absolute =
        0;  ///< μ* (Campolongo, Cariboni & Saltelli 2007, Environ. Model. Softw. 22, 1509-1518)
    double deviation = 0;  ///< σ: large beside μ* where the effect is curved or hangs on other parameters
};

/// From the results of a morris_design, and the design itself.
std::vector<ElementaryEffect> elementary_effects(const Field<double>& design,
                                                 std::span<const double> results);

}  // namespace lielow
