// SPDX-License-Identifier: Apache-2.0
// Where the water of a storm stands: hollows filled by the water that reaches them, no more, and running over
// from one to the next until it leaves the ground.
//
// Barnes, R., Callaghan, K. L., Wickert, A. D. (2021): Computing water flow through complex landscapes - Part
// 3: Fill-Spill-Merge: flow routing in depression hierarchies. Earth Surf. Dynam. 9:105-121, doi
// 10.5194/esurf-9-105-2021. The end of a storm is pictured, when everything has run together: no time, no
// soaking away on the way.
#pragma once

#include <span>
#include <vector>

#include "sim/nested_hollows.hpp"

namespace lielow {

struct StormPonds {
    /// Elevation of the water in each catchment, m; its pit's elevation where it is dry.
    std::vector<double> level_of_catchment;
    double ponded_m3 = 0;
    double left_ground_m3 = 0;
    /// Water surface of the hollows that are full and run over, m², squared one by one and summed: see
    /// volume_error_m3.
    double full_area_squares_m4 = 0;
};

/// Sum of `runoff_m` (depth that runs off each cell, m; NaN counts as 0) over each catchment, m³.
std::vector<double> runoff_by_catchment(const Grid& grid, const Catchments& catchments,
                                        const Field<float>& runoff_m);

/// The same for one depth everywhere.
std::vector<double> runoff_by_catchment(const NestedHollows& hollows, double runoff_m);

/// Lets the water of each catchment, m³ and >= 0, run to its pit and on. ponded_m3 + left_ground_m3 is the
/// sum of `runoff_m3` to rounding. The order in which catchments are taken doesn't matter but for rounding;
/// where a hollow could run over at exactly the same level in two places, it does so in the one that
/// nest_hollows has chosen. Throws InputError for a negative or unknown runoff.
StormPonds fill_from_runoff(const NestedHollows& hollows, std::span<const double> runoff_m3);

/// Depth of the storm's water over each cell, m: 0 where dry, NaN where z is.
Field<float> pond_depth(const Field<float>& z, const Catchments& catchments, const StormPonds& ponds);

/// Standard error of the ponded volume that follows from the ground's, m³, for elevations whose errors are
/// independent from cell to cell with the standard error `vertical_m`. A full hollow of area A holds A · h −
/// Σ z da, so the error of its brim's height h counts A-fold and those of its n cells A/√n-fold together; its
/// error is taken as A · vertical_m, and those of several hollows as independent. A hollow that isn't full
/// holds what reached it, whatever its shape.
double volume_error_m3(const StormPonds& ponds, double vertical_m);

}  // namespace lielow
