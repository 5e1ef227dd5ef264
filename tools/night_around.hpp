// SPDX-License-Identifier: Apache-2.0
// The night with what lies beyond the DEM: nested in the ground around where the site has one; and how much
// of the answer hangs on the edges.
#pragma once

#include "sim/night.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Runs the night, within that of ground.around where the site names one. Adds to the record what was done,
/// to each field the share of its lowest air that came in over the edge of all ground known and by how much
/// other edges would have changed it, and to the cautions where either is too large. Throws InputError for a
/// bad ground.around.
NightResult night_with_edges(SiteRun& run, const NightSetup& setup, const NightPlan& plan,
                             const NightCanopy* canopy, PartRecord& record);

}  // namespace lielow
