// SPDX-License-Identifier: Apache-2.0
// The water part's running storm: rain through its hours as a flow over the ground.
#pragma once

#include "sim/catchments.hpp"
#include "sim/hollows.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Where the site asks for it (water.storm_shape or water.storm_table): writes the rasters storm_depth,
/// storm_hours and storm_speed and the table storm_discharge.csv, adds the part "storm" to the summary. The
/// catchments and hollows must be those of run.dem.ground.z, found with `order`. Throws InputError when the
/// storm lacks its rain.
void run_storm_hours(SiteRun& run, const Catchments& catchments, const Hollows& hollows,
                     const Field<float>& order);

/// Throws InputError in one line where the site asks for a running storm that can't be: before anything is
/// computed.
void check_storm_run(const Site& site);

}  // namespace lielow
