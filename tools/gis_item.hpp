// SPDX-License-Identifier: Apache-2.0
// The catalogue item of a run's results.
#pragma once

#include "tools/site_run.hpp"

namespace lielow {

/// Writes rasters/stac-item.json, which names what the run has written so far, and summary.json. Nothing for
/// a run without rasters. Throws RunError.
void write_gis_item(SiteRun& run);

}  // namespace lielow
