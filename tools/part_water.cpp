// SPDX-License-Identifier: Apache-2.0
// "Picture 20 feet of water over the field": fill stage, depth at the stage asked for, closed hollows; then
// storms and the ways of the water.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "sim/catchments.hpp"
#include "sim/hollows.hpp"
#include "sim/stage.hpp"
#include "sim/tie_order.hpp"
#include "sim/zonal.hpp"
#include "tools/part_storm.hpp"
#include "tools/site_run.hpp"
#include "tools/stop.hpp"
#include "tools/water_storm.hpp"
#include "tools/water_ways.hpp"

namespace lielow {
namespace {

constexpr std::size_t most_hollows = 50;
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// Cells of the field whose elevation was measured and which lie mostly inside it, so that neither a bridged
/// hole nor a ditch along its edge makes its low point; those at least partly inside when none lies mostly
/// inside.
std::vector<std::uint32_t> cells_for_low_point(const FarmField& field, const Field<std::uint8_t>& known) {
    for (const float least_share : {0.5F, 0.0F}) {
        std::vector<std::uint32_t> cells;
        cells.reserve(field.cells.size());
        for (std::size_t i = 0; i < field.cells.size(); ++i) {
            if (field.share[i] > least_share && known[field.cells[i]] != 0) cells.push_back(field.cells[i]);
        }
        if (!cells.empty()) return cells;
    }
    return {};
}

/// Rasters of every field's own picture: values inside the fields, none outside. Empty for a site without
/// outlines, whose one field is the whole ground.
struct OwnRasters {
    Field<float> stage;
    Field<float> depth;
};

/// The picture as the field's grower sees it: water rising from the field's own low point.
struct OwnStage {
    double low_point_m = not_known;
    double all_under_m = not_known;  ///< +inf where part of the field is never reached
    double under_m2 = not_known;
};

OwnStage own_stage(const SiteRun& run, const Catchments& catchments, const FarmField& field,
                   OwnRasters& rasters) {
    const Ground& ground = run.dem.ground;
    const auto cells = cells_for_low_point(field, ground.known);
    if (cells.empty()) return {};
    const Stage stage = stage_above_low_point(ground.z, catchments, cells);
    OwnStage result{stage.low_point_m, 0, 0};
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        const std::size_t cell = field.cells[i];
        if (ground.known[cell] == 0) continue;
        const double goes_under = fill_stage_of(stage, catchments, ground.z, cell);
        if (goes_under < run.site.water.stage_m) result.under_m2 += static_cast<double>(field.share[i]);
        result.all_under_m = std::max(result.all_under_m, goes_under);
        if (rasters.stage.empty()) continue;
        rasters.stage[cell] = goes_under;
        const auto water =
            static_cast<float>(static_cast<double>(stage.low_point_m) + run.site.water.stage_m);
        rasters.depth[cell] = goes_under < run.site.water.stage_m ? water - ground.z[cell] : 0.0F;
    }
    result.under_m2 *= ground.grid.cell_area();
    return result;
}

void add_own_stages(SiteRun& run, const Catchments& catchments) {
    begin_stage(run, "each field's own stage");
    OwnRasters rasters;
    if (run.site.ground.fields) {
        const Grid& grid = run.dem.ground.grid;
        rasters.stage = Field<float>(grid.rows, grid.cols, std::numeric_limits<float>::quiet_NaN());
        rasters.depth = rasters.stage.clone();
    }
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        throw_if_stopped();
        const OwnStage own = own_stage(run, catchments, run.fields[i], rasters);
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"low_point_m", own.low_point_m, "Elevation of the field's low point"});
        figures.push_back({"under_water_m2", own.under_m2,
                           "Area under water at the stage asked for above the field's own low point"});
        figures.push_back({"all_under_stage_m", own.all_under_m,
                           "Stage above the field's low point at which all of it is under water"});
    }
    if (rasters.stage.empty()) return;
    finish_raster(
        run, std::move(rasters.stage),
        {"field_fill_stage",
         "Inside the fields: stage above the field's own low point at which the cell first goes under, over "
         "connected ground",
         "m"});
    finish_raster(
        run, std::move(rasters.depth),
        {"field_fill_depth",
         fmt::format(
             "Inside the fields: depth of water over the cell at {:.2f} m above the field's own low point",
             run.site.water.stage_m),
         "m"});
}

void write_stage_rasters(SiteRun& run, const Catchments& catchments, PartRecord& record) {
    const Field<float>& z = run.dem.ground.z;
    const double asked = run.site.water.stage_m;
    const Stage stage = stage_above_low_point(z, catchments);
    record.figures.push_back({"stage_m", asked, {}});
    record.figures.push_back({"ground_low_point_m", stage.low_point_m, {}});
    begin_stage(run, "fill stage");
    finish_raster(run, fill_stage(stage, catchments, z),
                  {"fill_stage",
                   "Stage above the lowest point of the ground at which the cell first goes under, over "
                   "connected ground",
                   "m"});
    begin_stage(run, "fill depth");
    Field<float> depth = fill_depth(stage, catchments, z, asked);
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const Zone zone{run.fields[i].cells, run.fields[i].share};
        const double under = zonal_area(run.dem.ground.grid, depth, zone, [](float d) { return d > 0; });
        run.summary.fields[i].figures.push_back(
            {"under_water_from_ground_low_m2", under,
             "Area under water at the stage asked for above the lowest point of the whole ground"});
    }
    finish_raster(
        run, std::move(depth),
        {"fill_depth",
         fmt::format("Depth of water over the cell at {:.2f} m above the lowest point of the ground", asked),
         "m"});
}

HollowRecord hollow_record(const SiteRun& run, const Hollow& hollow) {
    const auto cols = static_cast<std::uint32_t>(run.dem.ground.grid.cols);
    const auto spill = run.dem.geo.at(hollow.spill_cell % cols + 0.5, hollow.spill_cell / cols + 0.5);
    return {hollow.area_m2, hollow.volume_m3, hollow.depth_m, hollow.spill_level_m, spill[0], spill[1]};
}

Hollows write_hollows(SiteRun& run, const Catchments& catchments, PartRecord& record) {
    begin_stage(run, "hollows");
    const Ground& ground = run.dem.ground;
    Hollows hollows = find_hollows(ground.grid, ground.z, catchments);
    double area = 0;
    for (const Hollow& hollow : hollows.list) area += hollow.area_m2;
    record.figures.push_back({"hollow_area_m2", area, {}});
    run.summary.hollow_count = hollows.list.size();
    for (std::size_t i = 0; i < std::min(most_hollows, hollows.list.size()); ++i)
        run.summary.hollows.push_back(hollow_record(run, hollows.list[i]));
    run.layers.push_back(hollows_layer(run.dem.geo, ground.z, catchments, hollows, most_hollows));
    run.layers.push_back(hollow_spills_layer(run.dem.geo, ground.grid, hollows, most_hollows));
    finish_raster(
        run, hollow_depth(ground.z, catchments, hollows),
        {"hollow_depth",
         "Depth of the cell below the spill level of its closed hollow; 0 where it drains freely", "m"});
    return hollows;
}

/// Lays the changes into the ground, and notes what the storm would have left without them.
void change_for_water(SiteRun& run, PartRecord& record) {
    begin_stage(run, "changes to the ground");
    Ground& ground = run.dem.ground;
    record.figures.push_back({"changes", static_cast<double>(run.changes.size()), {}});
    record.figures.push_back({"storm_ponded_without_changes_m3", ponded_by_storm_m3(run, ground.z), {}});
    for (const GroundChange& change : run.changes) change_ground(ground.grid, change, ground.z);
}

}  // namespace

void run_water(SiteRun& run) {
    PartRecord record{"water", {}, {}};
    Field<float> as_found;
    if (!run.changes.empty()) {
        as_found = run.dem.ground.z.clone();
        change_for_water(run, record);
    }
    begin_stage(run, "catchments");
    const Field<float> order = order_ties(run.dem.ground.z);
    const Catchments catchments = find_catchments(run.dem.ground.grid, run.dem.ground.z, order);
    add_own_stages(run, catchments);
    write_stage_rasters(run, catchments, record);
    const Hollows hollows = write_hollows(run, catchments, record);
    run_storms(run, catchments, order, record);
    run_ways(run, catchments, hollows, record);
    run_storm_hours(run, catchments, hollows, order);
    if (!as_found.empty()) run.dem.ground.z = std::move(as_found);  // only water knows of the changes
    run.summary.parts.push_back(std::move(record));
}

}  // namespace lielow
