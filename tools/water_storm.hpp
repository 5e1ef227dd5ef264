// SPDX-License-Identifier: Apache-2.0
// The water part's storms: what stands where afterwards, and how much rain fills the hollows.
#pragma once

#include "sim/catchments.hpp"
#include "sim/hollows.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Adds the table of storms, each field's figures, and with water.storm the raster storm_depth. The
/// catchments are those of `order` (sim/tie_order.hpp).
void run_storms(SiteRun& run, const Catchments& catchments, const Field<float>& order, PartRecord& record);

/// Water on `z` after water.storm, m³; NaN without a storm.
double ponded_by_storm_m3(const SiteRun& run, const Field<float>& z);

}  // namespace lielow
