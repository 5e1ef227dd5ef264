// SPDX-License-Identifier: Apache-2.0
// How much rain fills each hollow, and how much water stands after any amount of it: all amounts in one pass.
#pragma once

#include <span>
#include <vector>

#include "sim/nested_hollows.hpp"

namespace lielow {

struct FillingRain {
    /// Depth of runoff, the same everywhere, after which hollow i of the list is full, m. What runs over from
    /// hollows further up counts; 0 for one that holds nothing.
    std::vector<double> of_hollow;
    /// Water on the ground as runoff grows, m³: a line through corners (0, 0), ... whose last stretch goes on
    /// level.
    std::vector<double> corner_runoff_m;
    std::vector<double> corner_ponded_m3;
};

/// Rising runoff is followed from one full hollow to the next: between two such moments every hollow fills at
/// a steady rate. Hollows and catchments n, time n log n.
FillingRain rain_that_fills(const NestedHollows& hollows);

/// Water on the ground after each of `runoff_m` (m, >= 0, in any order), m³.
std::vector<double> ponded_after(const FillingRain& rain, std::span<const double> runoff_m);

}  // namespace lielow
