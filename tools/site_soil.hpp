// SPDX-License-Identifier: Apache-2.0
// The ground's soil and drains as a site file tells them, cell by cell. Everything here throws InputError for
// a file that can't be read, a value that can't be, or ground without any.
#pragma once

#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/site.hpp"
#include "sim/soil.hpp"
#include "sim/soil_facts.hpp"

namespace lielow {

/// True when the site, its survey or its tests say a conductivity, without which there is no drain-down.
bool has_soil(const Site& site, const SoilFacts& facts);

/// The site's maps where they hold something, else the numbers it gives, else what survey and tests say
/// (`facts`, on the same cells), else the defaults. Ground of which a survey says no conductivity takes the
/// geometric mean of the rest.
Soil site_soil(const Site& site, const Dem& dem, const SoilFacts& facts);

/// Depth of the water table before the storm as mapped, m; the site must name a map.
Field<float> table_depth_map(const Site& site, const Dem& dem);

/// The lines of drain.lines.
GroundDrains drawn_drains(const Site& site, const Dem& dem, const Soil& soil,
                          std::vector<std::string>& notes);

/// Adds the pipes of drain.spacing, which must be given, inside the fields.
void lay_pipes_everywhere(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                          const Soil& soil, GroundDrains& drains);

/// Reads all of it once, so that what can't be is told before anything is done.
void check_site_soil(const Site& site, const Dem& dem, const SoilFacts& facts);

}  // namespace lielow
