// SPDX-License-Identifier: Apache-2.0
// Closed hollows: ground from which water can't run off before it has filled up to a spill level.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/catchments.hpp"
#include "sim/grid.hpp"

namespace lielow {

struct Hollow {
    double area_m2 = 0;            ///< surface of the water when full
    double volume_m3 = 0;          ///< of water when full
    double depth_m = 0;            ///< at the deepest point when full
    float spill_level_m = 0;       ///< elevation of the water when full
    std::uint32_t spill_cell = 0;  ///< where it then runs over
    std::uint32_t pit_cell = 0;    ///< the deepest cell
    std::size_t cells = 0;
};

struct Hollows {
    std::vector<Hollow> list;  ///< by falling volume, then by pit cell
    /// m: the level to which water rises in each catchment before it leaves the ground
    std::vector<float> level_of_catchment;
    /// number in `list`, -1 where the catchment drains freely
    std::vector<std::int32_t> hollow_of_catchment;
};

/// The edge of the ground drains (see find_catchments); nothing else does. Catchments share a hollow when a
/// pass between them lies below the water; hollows whose water only just touches at a pass stay two.
Hollows find_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments);

/// Depth below the spill level, m: 0 on ground that drains freely, NaN where z is.
Field<float> hollow_depth(const Field<float>& z, const Catchments& catchments, const Hollows& hollows);

}  // namespace lielow
