// SPDX-License-Identifier: Apache-2.0
// A site's settings as the night's solver takes them: for a run, and for each trial of a tuning.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/site.hpp"
#include "sim/night.hpp"
#include "sim/sun.hpp"
#include "tools/night_loss.hpp"
#include "tools/night_surface.hpp"
#include "tools/reference_spot.hpp"

namespace lielow {

/// What a night starts from, read once.
struct SiteEvening {
    NightSpan span;
    ReferenceSpot spot;
    NightLoss loss;
    SiteSurface surface;
    std::shared_ptr<const Field<float>> cover_loss;  ///< null where the site names no cover
};

/// Throws InputError where the sun doesn't set, the reference spot has no ground, or the weather or the cover
/// can't be used.
SiteEvening read_evening(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                         Obstacles obstacles, std::vector<std::string>& notes);

/// How much sky every cell of the DEM sees; null for 0 directions.
std::shared_ptr<const Field<float>> site_sky_view(const Dem& dem, int directions);

/// All but the sky view.
NightSetup night_setup(const Site& site, const SiteEvening& evening, std::vector<std::string>& notes);

/// plan_night; its InputErrors name the site file.
NightPlan site_night_plan(const Site& site, const Grid& fine, const NightSetup& setup);

/// Notes on settings that are allowed, yet can't show what a night does.
void note_poor_plan(const NightPlan& plan, std::vector<std::string>& notes);

/// What to say where the sheets of a night were too few, on `full_share` of the ground
/// (NightResult::ladder_full_share); nothing where they weren't.
std::optional<std::string> ladder_caution(const NightPlan& plan, double full_share);

/// Which kind of night this is.
inline constexpr const char* frost_caution =
    "The night is a radiation frost, its cold formed on the spot. In a freeze that comes with wind, low "
    "sheltered ground can be the warmer and exposed ground the colder.";

}  // namespace lielow
