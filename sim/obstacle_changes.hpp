// SPDX-License-Identifier: Apache-2.0
// Solid banks and walls among the obstacles, as changes to the ground that water meets.
#pragma once

#include <vector>

#include "sim/ground_changes.hpp"
#include "sim/obstacles.hpp"

namespace lielow {

/// Banks and walls of openness 0 raise the cells they run through, or cover by half; of an area narrower than
/// two cells those that its outline crosses too. Where a gap or culvert opens them, the ground stays in every
/// cell that the opening touches. Passages through what the DEM shows become culverts, from their higher end
/// to their lower. All else lets water through. Banks come first. `z` is the ground without them.
std::vector<GroundChange> changes_by_obstacles(const Obstacles& obstacles, const Grid& grid,
                                               const Field<float>& z);

}  // namespace lielow
