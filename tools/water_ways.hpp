// SPDX-License-Identifier: Apache-2.0
// The water part's ways: where water runs once the hollows are full, and how wet that makes the ground.
#pragma once

#include "sim/catchments.hpp"
#include "sim/hollows.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Adds the rasters drainage_way, wetness_index and height_above_way, the layers drainage_ways and
/// field_sources, and each field's upslope area.
void run_ways(SiteRun& run, const Catchments& catchments, const Hollows& hollows, PartRecord& record);

}  // namespace lielow
