// SPDX-License-Identifier: Apache-2.0
// A farm's night inside a coarser night of the ground around it: cold air that forms beyond the farm's edge
// flows in, and what the farm sends out meets what is really there. One way: the farm doesn't act back.
#pragma once

#include "sim/night.hpp"

namespace lielow {

/// The ground around a farm, on cells of `cell` farm cells each, in the farm's rows and columns.
struct Surround {
    Ground ground;
    Blocks cell;
    std::int32_t first_row = 0;  ///< the farm's first corner lies on the corner of this cell
    std::int32_t first_col = 0;
};

/// Puts the farm's own elevations, averaged, where the farm lies, so that both nights stand on one ground.
/// Cells that the farm covers in part keep the rest of what they had.
void lay_farm(Surround& surround, const Ground& farm);

/// The outer night's cells: at least twice as wide as those of `farm`, and as wide as keeps its work within
/// `work_share` of the farm's. Sheets as the farm's.
NightPlan plan_around(const Surround& surround, const NightSetup& settings, const NightPlan& farm,
                      double work_share = 1.0 / 6);

struct NestedNight {
    NightResult farm;
    NightPlan around;  ///< of the outer night
    double around_residual = 0;
    std::int64_t around_steps = 0;
    std::size_t ring_samples = 0;
    std::size_t ring_bytes = 0;
};

/// The outer night first (NightSetup::edges is what lies beyond *it*), then the farm's. `surround` holds the
/// farm's ground already (lay_farm). The canopy is laid on both.
NestedNight run_nested_night(const Ground& farm, const Surround& surround, const NightSetup& settings,
                             const NightPlan& plan, const NightPlan& around,
                             const NightCanopy* canopy = nullptr, const NightProgress& progress = {},
                             double longest_interval_s = 300);

}  // namespace lielow
