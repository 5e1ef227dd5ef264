// SPDX-License-Identifier: Apache-2.0
// What a site file says stands and grows on the ground, for the night.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/obstacles.hpp"
#include "io/site.hpp"
#include "io/summary.hpp"
#include "sim/land_cover.hpp"
#include "sim/night.hpp"

namespace lielow {

struct SiteSurface {
    Obstacles obstacles;
    std::optional<LandCover> cover;
};

/// Reads ground.cover, if the site names one, to the obstacles.
SiteSurface read_site_surface(const Site& site, const Dem& dem, Obstacles obstacles,
                              std::vector<std::string>& notes);

/// The same on the night's cells; the cover's factor on the loss goes into the setup by itself.
NightSurface night_surface(const SiteSurface& surface, const NightSetup& setup, const NightPlan& plan,
                           const Ground& ground, std::vector<std::string>& notes);

/// One line for each obstacle, fan and class of cover.
std::string surface_text(const SiteSurface& surface, const Ground& ground, PeopleUnits units);

/// How much stands, and the classes with their figures, for summary.json.
void record_surface(const SiteSurface& surface, const Ground& ground, PartRecord& record);

}  // namespace lielow
