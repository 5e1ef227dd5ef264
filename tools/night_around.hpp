// SPDX-License-Identifier: Apache-2.0
// The night with what lies beyond the DEM: nested in the ground around where the site has one; and how much
// of the answer hangs on the edges.
#pragma once

#include <optional>

#include "io/around.hpp"
#include "sim/border_flow.hpp"
#include "sim/night.hpp"
#include "sim/night_watch.hpp"
#include "tools/site_run.hpp"

namespace lielow {

struct NightWithEdges {
    NightResult night;
    std::optional<WiderFlow> around;  ///< mean flow of the night around, where there was one
};

/// Runs the night, within that of ground.around where the site names one, `watch` looking on. Adds to the
/// record what was done, to each field by how much other edges would have changed it, and a caution where
/// that is too much. While it runs its hours so far are archived. `sky_directions` as NightLoss's. Throws
/// InputError for a bad ground.around.
NightWithEdges night_with_edges(SiteRun& run, const NightSetup& setup, const NightPlan& plan,
                                const NightSurface& surface, const NightSpan& span, int sky_directions,
                                FlowWatch& watch, PartRecord& record);

/// The farm's night alone, or within that of `around` where there is one, without a look at other edges.
NightResult farm_night(const Ground& ground, const Around* around, const NightSetup& setup,
                       const NightPlan& plan, const NightSurface& surface, int sky_directions,
                       const NightProgress& progress);

}  // namespace lielow
