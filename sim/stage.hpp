// SPDX-License-Identifier: Apache-2.0
// "Picture 20 feet of water over the field": the stage at which each cell first goes under, for every depth
// at once.
//
// Stage is height of a level water surface above the low point. A cell goes under when the surface reaches it
// over ground connected to the low point (eight neighbours), so a hollow behind a ridge stays dry until the
// ridge's pass is under.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "sim/catchments.hpp"
#include "sim/grid.hpp"

namespace lielow {

struct Stage {
    float low_point_m = 0;       ///< elevation of the low point
    std::uint32_t low_cell = 0;  ///< the low point (the first of equals; all equals count as low points)
    /// m: elevation at which water from the low point reaches each catchment; +inf never
    std::vector<float> level_of_catchment;
};

/// Stage above the lowest of `cells` (indices into z; empty = the whole ground). Water may cross any ground,
/// also outside `cells`. Throws InputError when no cell has a value.
Stage stage_above_low_point(const Field<float>& z, const Catchments& catchments,
                            std::span<const std::uint32_t> cells = {});

/// Stage at which one cell goes under, m; +inf never (ground not connected), NaN where z is.
float fill_stage_of(const Stage& stage, const Catchments& catchments, const Field<float>& z,
                    std::size_t cell);

/// The same for every cell. Cells that never go under are NaN.
Field<float> fill_stage(const Stage& stage, const Catchments& catchments, const Field<float>& z);

/// Depth of water over each cell at stage `stage_m` above the low point, m: 0 where dry, NaN where z is.
Field<float> fill_depth(const Stage& stage, const Catchments& catchments, const Field<float>& z,
                        double stage_m);

}  // namespace lielow
