// SPDX-License-Identifier: Apache-2.0
// Days after the storm: how fast the ground gets rid of its water, and what pipes or beds would do.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "io/soil_map.hpp"
#include "sim/catchments.hpp"
#include "sim/drain_down.hpp"
#include "sim/drain_spacing.hpp"
#include "sim/hollows.hpp"
#include "sim/zonal.hpp"
#include "tools/site_run.hpp"
#include "tools/site_soil.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr std::array<int, 3> told_days{1, 2, 7};
constexpr double day_s = 86400;
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

Field<float> even(const Grid& grid, double value) {
    return {grid.rows, grid.cols, static_cast<float>(value)};
}

/// Depth of the water table before the storm, as given or as steady rain holds it up.
Field<float> table_before(SiteRun& run, WaterTable& table) {
    const DrainSettings& settings = run.site.drain;
    const Grid& grid = run.dem.ground.grid;
    if (settings.table_depth_map) {
        Field<float> depth = read_soil_map(*settings.table_depth_map, "depth of the water table",
                                           Dimension::length, grid, run.dem.geo);
        // Beyond the map as given, or none in the ground: the depth is cut to the restrictive layer's.
        const auto elsewhere = static_cast<float>(settings.table_depth_m.value_or(1e6));
        std::replace_if(
            depth.all().begin(), depth.all().end(), [](float d) { return std::isnan(d); }, elsewhere);
        return depth;
    }
    if (settings.table_depth_m) return even(grid, *settings.table_depth_m);
    begin_stage(run, "water table before the storm");
    settle_table(table, settings.recharge_m_s);
    return table.table_depth();
}

Field<float> room_of_hollows(const SiteRun& run) {
    const Ground& ground = run.dem.ground;
    const Catchments catchments = find_catchments(ground.grid, ground.z);
    return hollow_depth(ground.z, catchments, find_hollows(ground.grid, ground.z, catchments));
}

/// The whole storm goes into the ground as far as there is room; without a storm the ground is full to the
/// surface.
DrainDownStart start_of(SiteRun& run, WaterTable& table) {
    const Grid& grid = run.dem.ground.grid;
    DrainDownStart start;
    start.pond_room_m = room_of_hollows(run);
    if (!run.site.water.storm_m) {
        start.table_depth_m = even(grid, 0);
        return start;
    }
    start.table_depth_m = table_before(run, table);
    start.infiltrated_m = even(grid, *run.site.water.storm_m);
    return start;
}

void add_balance(const DrainDownResult& result, PartRecord& record) {
    const WaterTableBalance& ground = result.ground;
    const double in = ground.stored_at_start_m3 + result.ponded_at_start_m3;
    record.figures.push_back({"water_at_start_m3", in, {}});
    record.figures.push_back({"left_in_ground_m3", ground.stored_m3, {}});
    record.figures.push_back({"left_ponded_m3", result.ponded_m3, {}});
    record.figures.push_back({"evaporated_m3", result.pond_evaporated_m3, {}});
    record.figures.push_back({"ran_off_m3", result.ran_off_m3, {}});
    record.figures.push_back({"to_pipes_m3", ground.to_drains_m3, {}});
    record.figures.push_back({"to_ditches_m3", ground.to_ditches_m3, {}});
    record.figures.push_back({"over_edges_m3", ground.over_edges_m3, {}});
    record.figures.push_back({"unaccounted_share", in > 0 ? result.residual_m3() / in : 0.0, {}});
    record.figures.push_back({"time_steps", static_cast<double>(result.steps), {}});
}

/// Mean of a layer over a field, by shares; NaN where there is no ground.
double mean_over(const SiteRun& run, const FarmField& field, const Field<float>& values) {
    double sum = 0;
    double all = 0;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        if (std::isnan(run.dem.ground.z[field.cells[i]])) continue;
        sum += static_cast<double>(field.share[i]) * static_cast<double>(values[field.cells[i]]);
        all += static_cast<double>(field.share[i]);
    }
    return all > 0 ? sum / all : not_known;
}

/// Spacing of pipes that bring the table midway from the surface to below the roots in the time wanted; NaN
/// where the pipes don't lie below the roots.
double pipe_spacing(const SiteRun& run, const FarmField& field, const Soil& soil) {
    const DrainSettings& settings = run.site.drain;
    const double floor = mean_over(run, field, soil.floor_depth_m);
    const double pipe = std::min(settings.pipe_depth_m, floor);
    const double left = pipe - settings.root_depth_m;
    if (!(left > 0)) return not_known;
    const DrainedGround ground{mean_over(run, field, soil.conductivity_m_s), 0,
                               mean_over(run, field, soil.drainable_porosity), floor - pipe};
    return glover_dumm_spacing(ground, pipe, left, settings.wanted_time_s, true);
}

void add_field_figures(SiteRun& run, const Soil& soil, const DrainDownResult& result,
                       const Field<float>& depth_on_day_2) {
    const DrainSettings& settings = run.site.drain;
    const Grid& grid = run.dem.ground.grid;
    const auto end = static_cast<float>(settings.days);
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const FarmField& field = run.fields[i];
        const Zone zone{field.cells, field.share};
        const double depth = zonal_figures(grid, depth_on_day_2, zone).median;
        auto& figures = run.summary.fields[i].figures;
        const auto wet = [&](float days) {
            return zonal_area(grid, result.drain_days, zone, [days](float d) { return d >= days; });
        };
        figures.push_back({"wet_after_2_days_m2", wet(2), "Area with water in the root zone after 2 days"});
        figures.push_back(
            {"wet_to_the_end_m2", wet(end), "Area with water in the root zone to the last day"});
        figures.push_back(
            {"bed_height_m", std::isnan(depth) ? depth : raised_bed_height(settings.root_depth_m, depth, 0),
             "Height of bed that would give roots their air after 2 days in half of the field"});
        figures.push_back(
            {"pipe_spacing_m", pipe_spacing(run, field, soil),
             "Spacing of pipes that would bring the water table below the roots in the time wanted"});
    }
}

void write_rasters(SiteRun& run, std::map<int, Field<float>>& depths, DrainDownResult& result) {
    for (auto& [day, depth] : depths) {
        finish_raster(run, std::move(depth),
                      {fmt::format("water_table_day{}", day),
                       fmt::format("Depth of the water table below the surface {} {} after the storm", day,
                                   day == 1 ? "day" : "days"),
                       "m"});
    }
    finish_raster(
        run, std::move(result.drain_days),
        {"drain_days",
         fmt::format(
             "Days after the storm until the root zone ({:.2f} m) stays free of water; {} where it still "
             "holds water then",
             run.site.drain.root_depth_m, run.site.drain.days),
         "days"});
}

}  // namespace

void run_drain(SiteRun& run) {
    if (!has_soil(run.site)) {
        run.summary.notes.push_back(
            "no days after the storm: soil.conductivity isn't given, and no survey stands in for it");
        return;
    }
    begin_stage(run, "soil and drains");
    const Soil soil = site_soil(run);
    const GroundDrains drains = site_drains(run, soil);
    WaterTable table(run.dem.ground.grid, run.dem.ground.z, soil, drains);
    const DrainDownStart start = start_of(run, table);
    begin_stage(run, "days after the storm");
    std::map<int, Field<float>> depths;
    DrainDownOptions options;
    options.root_depth_m = run.site.drain.root_depth_m;
    options.days = run.site.drain.days;
    options.evaporation_m_s = run.site.drain.evaporation_m_s;
    options.step_error_m = 0.004;  // days to within 4 % (docs/drainage.md); soil is known far less well
    options.each_day = [&](int day, const Field<float>& depth) {
        if (std::find(told_days.begin(), told_days.end(), day) != told_days.end())
            depths[day] = depth.clone();
    };
    options.each_step = [&](double share) {
        throw_if_stopped();
        run.progress.at(share);
    };
    DrainDownResult result = drain_down(table, soil, start, options);
    PartRecord record{"drain", {}, {}};
    add_balance(result, record);
    add_field_figures(run, soil, result, depths.at(2));
    write_rasters(run, depths, result);
    run.summary.parts.push_back(std::move(record));
    run.summary.cautions.push_back(
        "Days after the storm, pipe spacings and bed heights are a screening with the soil you gave: no "
        "drain "
        "without an outlet, and without asking about wetland and drainage law and buried utilities first; a "
        "bed "
        "doesn't cure infected ground.");
}

}  // namespace lielow
