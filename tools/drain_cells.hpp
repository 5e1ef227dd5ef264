// SPDX-License-Identifier: Apache-2.0
// The days after the storm on coarser cells than the DEM's (drain.cell), and back.
#pragma once

#include "sim/coarse_ground.hpp"
#include "sim/soil.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Whole blocks of DEM cells nearest to drain.cell; one cell where it isn't given.
Blocks drain_blocks(const SiteRun& run);

/// The run's ground on blocks: mean heights, a block known where any of its cells is, the fields' shares
/// counted anew. It shares progress and staging with `run` and writes nothing by itself.
SiteRun run_on_blocks(SiteRun& run, const Blocks& blocks);

/// Soil of the blocks: geometric mean of conductivity, mean of the rest.
Soil soil_on_blocks(const SiteRun& run, const Soil& soil, const Blocks& blocks);

/// Each cell takes its block's value: a water table runs along with the slope inside a block.
Field<float> on_cells(const Grid& fine, const Blocks& blocks, const Field<float>& values);

}  // namespace lielow
