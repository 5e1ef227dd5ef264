// SPDX-License-Identifier: Apache-2.0
// A storm's plan for a DEM: the cells it runs on, and the ground as they see it.
#pragma once

#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/hollows.hpp"
#include "sim/storm_flow.hpp"

namespace lielow {

/// Steps that a storm of `seconds` takes on cells of `cell_m`: about four a second on 1 m. Water half a metre
/// deep sets them, which is what stands in some hollow of most farms; docs/storm.md has what was measured.
double storm_steps(double cell_m, double seconds);

/// Whole blocks of DEM cells of about `cell_m`; 0 = the finest that keep the work, cells × steps, below
/// `work_limit`: minutes on two cores.
Blocks storm_blocks(const Grid& fine, double cell_m, double seconds, double work_limit = 4e9);

/// Ground, its outside and its grid on blocks; everything else as StormPlan has it by default, without
/// roughness.
StormPlan storm_plan(const Ground& ground, const Blocks& blocks, MassCurve rain);

/// For each catchment whether its hollow is too small for the blocks to show it: less than nine of them.
std::vector<bool> small_hollows(const Hollows& hollows, const Blocks& blocks, const Grid& fine);

}  // namespace lielow
