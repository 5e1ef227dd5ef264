// SPDX-License-Identifier: Apache-2.0
// Priority-Flood as published: the yardstick that the catchment method is tested and timed against.
//
// Barnes, R., Lehman, C., Mulla, D. (2014): Priority-flood: an optimal depression-filling and
// watershed-labeling algorithm for digital elevation models. Computers & Geosciences 62:117-127,
// doi 10.1016/j.cageo.2013.04.024 (the improved form, with a plain queue for cells inside a depression
// already found).
#pragma once

#include "sim/grid.hpp"

namespace lielow {

/// Elevation with every closed hollow filled to its spill level, m; NaN where z is. Eight neighbours; water
/// leaves at the raster's edge and beside NaN. About 2·10⁶ cells a second: use find_hollows for large ground.
Field<float> priority_flood(const Field<float>& z);

}  // namespace lielow
