// SPDX-License-Identifier: Apache-2.0
// Drainage ways: where so much ground drains together that water runs as a stream in wet times; and how high
// the ground lies above them.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/drain_directions.hpp"

namespace lielow {

/// A stretch between heads and confluences.
struct DrainageWay {
    /// From the top down. The last cell is the confluence, which belongs to the next way; a way that leaves
    /// the ground ends on its edge.
    std::vector<std::uint32_t> cells;
    std::int32_t into = -1;  ///< number of the next way; -1 where it leaves the ground
    int order = 1;           ///< Strahler 1957 (Trans. Am. Geophys. Union 38:913-920)
    double upslope_m2 = 0;   ///< area that drains through its lower end, the confluence's other arms left out
    double length_m = 0;
    double fall_m = 0;   ///< of the directions' surface
    double width_m = 0;  ///< see bankfull_width_m
};

/// Width of a natural stream at bankfull flow, m, from the area that drains to it, m²: 2.70 A^0.352 with A in
/// km², for the United States as a whole (Bieger, K. et al. 2015, J. Am. Water Resour. Assoc. 51:842-858,
/// quoted from memory). Below about 1 km² this goes beyond what was measured.
double bankfull_width_m(double upslope_m2);

/// Ways of the cells through which at least `least_m2` drains along the directions (`area` by
/// FlowSplit::single), by growing upslope area at their top, each after all that run into it.
std::vector<DrainageWay> drainage_ways(const Grid& grid, const DrainDirections& directions,
                                       const Field<double>& area, double least_m2);

/// Height of each cell above the cell where its water reaches a way, both on the directions' surface, m
/// (Nobre, A. D. et al. 2011, J. Hydrol. 404:13-29); NaN where it reaches none before it leaves the ground.
Field<float> height_above_way(const DrainDirections& directions, const Field<double>& area, double least_m2);

}  // namespace lielow
