// SPDX-License-Identifier: Apache-2.0
// The ground's soil and drains as a site file tells them, cell by cell.
#pragma once

#include "sim/soil.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// True when the site says a conductivity, without which there is no drain-down.
bool has_soil(const Site& site);

/// Constants, overlaid by the site's maps. Throws InputError for a map that can't be read, a value that can't
/// be, or ground without any.
Soil site_soil(const SiteRun& run);

/// Drawn lines; with the pattern asked for inside the fields, what pipes would change. Notes go to the
/// summary, but not a second time with the pattern.
GroundDrains site_drains(SiteRun& run, const Soil& soil, bool with_pattern);

}  // namespace lielow
