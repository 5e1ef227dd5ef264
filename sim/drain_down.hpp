// SPDX-License-Identifier: Apache-2.0
// Days after a storm: ponds soak away and dry up, the water table falls, roots get air again.
#pragma once

#include <functional>

#include "sim/grid.hpp"
#include "sim/water_table.hpp"

namespace lielow {

/// The ground at the storm's end, cell by cell; values where there is no ground don't matter. A field that is
/// left empty counts as nought.
struct DrainDownStart {
    Field<float> table_depth_m;  ///< before the storm's water; must be given
    Field<float> infiltrated_m;  ///< water of the storm that went into the ground
    Field<float> ponded_m;       ///< water that stands on it
    Field<float> pond_room_m;    ///< depth of water the cell can hold before it runs off (a closed hollow's)
};

struct DrainDownOptions {
    double root_depth_m = 0.75;   ///< roots want the water table below this
    int days = 14;                ///< how long to look; at least 1
    double evaporation_m_s = 0;   ///< off ponds
    double step_error_m = 0.001;  ///< most that one time step may be off anywhere, m of water table
    std::function<void(int day, const Field<float>& table_depth_m)>
        each_day;                                 ///< at the end of day 1, 2, ...
    std::function<void(double share)> each_step;  ///< share done; may throw to stop
    /// By how much beds raise the roots above the surface, m; empty: nowhere. A pond keeps roots on a bed
    /// from air as far as it reaches into their zone.
    Field<float> bed_height_m = {};
};

struct DrainDownResult {
    /// Time from the storm's end until the root zone stays free of the water table and of ponded water, days;
    /// 0 where it never was in it; `days` where it still is at the end; NaN without ground.
    Field<float> drain_days;
    Field<float> ponded_m;  ///< still standing at the end
    WaterTableBalance ground;
    double ponded_at_start_m3 = 0;
    double pond_soaked_m3 = 0;
    double pond_evaporated_m3 = 0;
    double ran_off_m3 =
        0;  ///< found no room in the ground or in a hollow, or came out of the ground on a slope
    double ponded_m3 = 0;  ///< at the end
    int steps = 0;
    int newton_steps = 0;
    int linear_iterations = 0;

    /// What the whole reckoning lost or made up.
    [[nodiscard]] double residual_m3() const;
};

/// Depth that the water table must be below for the roots of a cell: the root zone's, or nine tenths of the
/// restrictive layer's where that is less, since the last film on it drains ever more slowly.
double free_depth(double root_depth_m, double floor_depth_m);

/// Ponds lose conductivity + evaporation as long as they last (infiltration at unit gradient), whatever their
/// shape; what comes in raises the water table below. Ground that is full takes nothing; water that comes out
/// of it stays in a hollow up to its rim and runs off elsewhere. A pond's own height doesn't press on the
/// water table, which stops at the surface. Throws RunError when no step is short enough.
DrainDownResult drain_down(WaterTable& table, const Soil& soil, const DrainDownStart& start,
                           const DrainDownOptions& options);

/// The table that steady rain of `recharge_m_s` would hold up in the long run against what plants draw: what
/// to start from where none was measured. Leaves `table` there. Throws RunError when it doesn't settle.
void settle_table(WaterTable& table, double recharge_m_s, const RootUptake& uptake = {});

}  // namespace lielow
