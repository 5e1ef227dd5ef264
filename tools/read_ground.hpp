// SPDX-License-Identifier: Apache-2.0
// The ground and the fields a site file names.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/around.hpp"
#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/obstacles.hpp"
#include "io/site.hpp"
#include "io/summary.hpp"
#include "sim/ground_changes.hpp"

namespace lielow {

/// Reads ground.dem, and writes into the settings what the DEM itself answered.
Dem read_site_dem(Site& site);

/// Reads ground.around; nothing where the site names no such file. `finest`: cells no smaller than so many of
/// the farm's, and no smaller than a night's finest.
std::optional<Around> read_site_around(const Site& site, const Dem& dem, const Blocks& finest,
                                       std::vector<std::string>& notes);

/// Reads ground.fields; the whole ground as one field where there are none. Remedies in force move theirs.
std::vector<FarmField> read_site_fields(const Site& site, const Dem& dem, std::vector<std::string>& notes);

GroundRecord ground_record(const Dem& dem);

/// Size and checksum of every file the site names and this version uses.
std::vector<InputRecord> input_records(const Site& site);

/// Reads ground.belts and ground.obstacles, as far as the site names them, and adds the remedies in force.
Obstacles read_site_obstacles(const Site& site, const Dem& dem, std::vector<std::string>& notes);

/// Banks, ditches, culverts and tile lines of water.changes, ditches of the remedies in force, and what among
/// the obstacles holds or passes water, tried on a copy of the ground. Banks come first. Throws InputError.
std::vector<GroundChange> read_site_changes(const Site& site, const Dem& dem, const Obstacles& obstacles,
                                            std::vector<std::string>& notes);

}  // namespace lielow
