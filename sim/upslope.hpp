// SPDX-License-Identifier: Apache-2.0
// What drains through a cell: upslope area, wetness index, where a field's water comes from.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "sim/drain_directions.hpp"
#include "sim/flow_shares.hpp"

namespace lielow {

/// Area that drains through each cell, its own included, m²; NaN where there is no ground. Where no neighbour
/// is lower, water follows `directions` whatever `split` says. What leaves the ground adds up to the ground's
/// area. One thread; 12 bytes a cell beyond the directions.
Field<double> upslope_area(const Grid& grid, const DrainDirections& directions, FlowSplit split);

/// Slopes below this count as this in the wetness index, which has no value on level ground: a choice of this
/// program.
inline constexpr double least_slope = 0.001;

/// Wetness index ln(a / tan β) of Beven, K. J., Kirkby, M. J. (1979), Hydrol. Sci. Bull. 24:43-69: a is
/// `area` per cell width √(dx dy), in m, β the slope of the steepest facet of the directions' surface.
Field<float> wetness_index(const Grid& grid, const DrainDirections& directions, const Field<double>& area);

/// 1 for the cells whose water runs through any of `cells` along the directions, `cells` themselves included.
Field<std::uint8_t> source_of(const DrainDirections& directions, std::span<const std::uint32_t> cells);

}  // namespace lielow
