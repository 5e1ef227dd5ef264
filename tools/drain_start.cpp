// SPDX-License-Identifier: Apache-2.0
#include "tools/drain_start.hpp"

#include "sim/hollows.hpp"
#include "sim/nested_hollows.hpp"
#include "sim/storm_fill.hpp"
#include "tools/root_depth.hpp"
#include "tools/site_soil.hpp"

namespace lielow {
namespace {

Field<float> even(const Grid& grid, double value) {
    return {grid.rows, grid.cols, static_cast<float>(value)};
}

/// Depth of the water table before the storm.
Field<float> table_before(SiteRun& run, WaterTable& table) {
    const DrainSettings& settings = run.site.drain;
    if (settings.table_depth_map) return table_depth_map(run.site, run.dem);
    if (settings.table_depth_m) return even(run.dem.ground.grid, *settings.table_depth_m);
    begin_stage(run, "water table before the storm");
    settle_table(table, settings.recharge_m_s, {settings.uptake_m_s, settings.uptake_reach_m});
    return table.table_depth();
}

/// Share of the rain that runs off although the ground has room for it.
double share_that_runs_off(const Site& site) {
    return is_given(site, "water.runoff_share") ? site.water.runoff_share : 0.0;
}

}  // namespace

StormEnd storm_end(SiteRun& run, WaterTable& table) {
    const Ground& ground = run.dem.ground;
    Field<float> z = ground.z.clone();
    for (const GroundChange& change : run.changes) change_ground(ground.grid, change, z);
    const Catchments catchments = find_catchments(ground.grid, z);
    StormEnd end;
    DrainDownStart& start = end.start;
    start.pond_room_m = hollow_depth(z, catchments, find_hollows(ground.grid, z, catchments));
    if (!run.site.water.storm_m) {
        start.table_depth_m = even(ground.grid, 0);
        return end;
    }
    start.table_depth_m = table_before(run, table);
    const double storm = *run.site.water.storm_m;
    const double off = share_that_runs_off(run.site) * storm;
    start.infiltrated_m = even(ground.grid, storm - off);
    Field<float> runoff;
    table.start(start.table_depth_m);
    table.fill(start.infiltrated_m, runoff);
    for (std::size_t c = 0; c < runoff.size(); ++c) {
        start.infiltrated_m[c] -= runoff[c];
        runoff[c] += static_cast<float>(off);
    }
    const NestedHollows hollows = nest_hollows(ground.grid, z, catchments);
    const StormPonds ponds = fill_from_runoff(hollows, runoff_by_catchment(ground.grid, catchments, runoff));
    start.ponded_m = pond_depth(z, catchments, ponds);
    end.ran_off_m3 = ponds.left_ground_m3;
    return end;
}

}  // namespace lielow
