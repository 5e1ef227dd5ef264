// SPDX-License-Identifier: Apache-2.0
// Days after the storm: how fast the ground gets rid of its water, and what pipes or beds would do.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "sim/drain_down.hpp"
#include "sim/drain_spacing.hpp"
#include "sim/zonal.hpp"
#include "tools/drain_cells.hpp"
#include "tools/drain_start.hpp"
#include "tools/remedy_drains.hpp"
#include "tools/root_depth.hpp"
#include "tools/site_run.hpp"
#include "tools/site_soil.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr std::array<int, 3> told_days{1, 2, 7};
constexpr double day_s = 86400;
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

void add_balance(const DrainDownResult& result, PartRecord& record) {
    const WaterTableBalance& ground = result.ground;
    const double in = ground.stored_at_start_m3 + result.ponded_at_start_m3;
    record.figures.push_back({"water_at_start_m3", in, {}});
    record.figures.push_back({"ponded_at_start_m3", result.ponded_at_start_m3, {}});
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

/// The field's mean ground around pipes as deep as asked for, or on the restrictive layer.
struct PipesIn {
    DrainedGround ground;
    double pipe_m = 0;  ///< depth of the pipes
    double left_m = 0;  ///< height above them that the roots leave to the water
};

PipesIn pipes_in(const SiteRun& run, const FarmField& field, const Soil& soil) {
    const DrainSettings& settings = run.site.drain;
    const double floor = mean_over(run, field, soil.floor_depth_m);
    const double pipe = std::min(settings.pipe_depth_m, floor);
    return {{mean_over(run, field, soil.conductivity_m_s), 0, mean_over(run, field, soil.drainable_porosity),
             floor - pipe},
            pipe,
            pipe - settings.root_depth_m};
}

/// NaN where the pipes don't lie below the roots.
void add_pipe_figures(const SiteRun& run, const PipesIn& pipes, std::vector<NamedFigure>& figures) {
    const DrainSettings& settings = run.site.drain;
    const bool below = pipes.left_m > 0;
    figures.push_back(
        {"pipe_spacing_m",
         below ? glover_dumm_spacing(pipes.ground, pipes.pipe_m, pipes.left_m, settings.wanted_time_s, true)
               : not_known,
         "Spacing of pipes that would bring the water table below the roots in the time "
         "wanted (Glover-Dumm)"});
    figures.push_back(
        {"pipe_spacing_steady_m",
         below ? hooghoudt_spacing(pipes.ground, pipes.left_m, settings.rate_m_s) : not_known,
         "Spacing of pipes that would hold the water table below the roots under steady rain (Hooghoudt)"});
}

/// Area of the field in which the water table is above roots that a bed has raised.
double wet_with_bed(const SiteRun& run, const Zone& zone, const Soil& soil, const Field<float>& depth,
                    double bed_m) {
    const double root = run.site.drain.root_depth_m - bed_m;
    if (root <= 0) return 0;
    double area = 0;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const std::uint32_t c = zone.cells[i];
        const auto deep = static_cast<double>(depth[c]);
        if (deep < free_depth(root, static_cast<double>(soil.floor_depth_m[c])))
            area += static_cast<double>(zone.share[i]);
    }
    return area * run.dem.ground.grid.cell_area();
}

double wet_for(const SiteRun& run, const Field<float>& drain_days, const FarmField& field, double days) {
    return zonal_area(run.dem.ground.grid, drain_days, {field.cells, field.share},
                      [days](float d) { return static_cast<double>(d) >= days; });
}

void add_field_figures(SiteRun& run, const Soil& soil, const DrainDownResult& result,
                       const Field<float>& depth_on_day_2) {
    const DrainSettings& settings = run.site.drain;
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const FarmField& field = run.fields[i];
        const Zone zone{field.cells, field.share};
        const double depth = zonal_figures(run.dem.ground.grid, depth_on_day_2, zone).median;
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"wet_after_2_days_m2", wet_for(run, result.drain_days, field, 2),
                           "Area with water in the root zone after 2 days"});
        figures.push_back({"wet_to_the_end_m2", wet_for(run, result.drain_days, field, settings.days),
                           "Area with water in the root zone to the last day"});
        figures.push_back(
            {"bed_height_m", std::isnan(depth) ? depth : raised_bed_height(settings.root_depth_m, depth, 0),
             "Height of bed that would give roots their air after 2 days in half of the field"});
        figures.push_back({"wet_after_2_days_on_beds_m2",
                           wet_with_bed(run, zone, soil, depth_on_day_2, settings.bed_height_m),
                           "The same with roots on beds of the height asked for"});
        add_pipe_figures(run, pipes_in(run, field, soil), figures);
    }
}

std::string days_text(const SiteRun& run, const char* when) {
    return fmt::format(
        "Days after the storm until the root zone ({:.2f} m) stays free of water{}; {} where it still holds "
        "water then",
        run.site.drain.root_depth_m, when, run.site.drain.days);
}

void write_rasters(SiteRun& run, std::map<int, Field<float>>& depths, DrainDownResult& result) {
    for (auto& [day, depth] : depths) {
        finish_raster(run, std::move(depth),
                      {fmt::format("water_table_day{}", day),
                       fmt::format("Depth of the water table below the surface {} {} after the storm", day,
                                   day == 1 ? "day" : "days"),
                       "m"});
    }
    finish_raster(run, std::move(result.drain_days), {"drain_days", days_text(run, ""), "days"});
}

/// Drains that are there, and those of remedies.
GroundDrains drains_of(const SiteRun& run, const Soil& soil, std::vector<std::string>& notes) {
    GroundDrains drains = drawn_drains(run.site, run.dem, soil, notes);
    add_remedy_drains(run.site, run.dem, run.fields, soil, drains);
    return drains;
}

/// The days after the storm, with the depth of the table on the days told of.
struct Followed {
    DrainDownResult result;
    std::map<int, Field<float>> depths;
    double ran_off_in_storm_m3 = 0;
};

Followed follow(SiteRun& run, const Soil& soil, const GroundDrains& drains, std::string_view stage) {
    WaterTable table(run.dem.ground.grid, run.dem.ground.z, soil, drains);
    const StormEnd end = storm_end(run, table);
    begin_stage(run, stage);
    Followed followed;
    followed.ran_off_in_storm_m3 = end.ran_off_m3;
    DrainDownOptions options;
    options.root_depth_m = run.site.drain.root_depth_m;
    options.days = run.site.drain.days;
    options.bed_height_m = remedy_beds(run.site, run.dem, run.fields);
    options.evaporation_m_s = run.site.drain.evaporation_m_s;
    options.step_error_m = 0.004;  // days to within 4 % (docs/drainage.md); soil is known far less well
    options.each_day = [&](int day, const Field<float>& depth) {
        if (std::find(told_days.begin(), told_days.end(), day) != told_days.end())
            followed.depths[day] = depth.clone();
    };
    options.each_step = [&](double share) {
        throw_if_stopped();
        run.progress.at(share);
    };
    followed.result = drain_down(table, soil, end.start, options);
    return followed;
}

/// Ground and soil on the cells of drain.cell; the run's own where that isn't given.
struct DrainCells {
    Blocks blocks;
    std::optional<SiteRun> coarse;
    Soil coarse_soil;

    DrainCells(SiteRun& run, const Soil& soil) : blocks(drain_blocks(run)) {
        if (blocks == Blocks{}) return;
        coarse.emplace(run_on_blocks(run, blocks));
        coarse_soil = soil_on_blocks(run, soil, blocks);
    }
    SiteRun& ground(SiteRun& run) { return coarse ? *coarse : run; }
    const Soil& soil(const Soil& fine) const { return coarse ? coarse_soil : fine; }
};

/// follow() on those cells, with what it finds brought back to the DEM's.
Followed follow_on(SiteRun& run, DrainCells& cells, const Soil& soil, const GroundDrains& drains,
                   std::string_view stage) {
    Followed found = follow(cells.ground(run), cells.soil(soil), drains, stage);
    if (!cells.coarse) return found;
    const Grid& fine = run.dem.ground.grid;
    for (auto& [day, depth] : found.depths) depth = on_cells(fine, cells.blocks, depth);
    found.result.drain_days = on_cells(fine, cells.blocks, found.result.drain_days);
    return found;
}

/// What pipes in every field would change.
void follow_with_pipes(SiteRun& run, DrainCells& cells, const Soil& soil) {
    std::vector<std::string> told_already;
    const SiteRun& ground = cells.ground(run);
    GroundDrains drains = drains_of(ground, cells.soil(soil), told_already);
    lay_pipes_everywhere(run.site, ground.dem, ground.fields, cells.soil(soil), drains);
    Followed with = follow_on(run, cells, soil, drains, "days after the storm, with pipes");
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        run.summary.fields[i].figures.push_back(
            {"wet_after_2_days_with_pipes_m2", wet_for(run, with.result.drain_days, run.fields[i], 2),
             "Area with water in the root zone after 2 days if pipes lay in every field"});
    }
    finish_raster(run, std::move(with.result.drain_days),
                  {"drain_days_with_pipes", days_text(run, " if pipes lay in every field"), "days"});
}

}  // namespace

void run_drain(SiteRun& run) {
    if (!has_soil(run.site, run.soil.facts)) {
        run.summary.notes.push_back(
            "no days after the storm: soil.conductivity isn't given, and neither survey nor test says one");
        return;
    }
    run.site.drain.root_depth_m = root_depth_m(run.site);
    begin_stage(run, "soil and drains");
    const Soil soil = site_soil(run.site, run.dem, run.soil.facts);
    DrainCells cells(run, soil);
    const GroundDrains drains = drains_of(cells.ground(run), cells.soil(soil), run.summary.notes);
    Followed found = follow_on(run, cells, soil, drains, "days after the storm");
    PartRecord record{"drain", {}, {}};
    add_balance(found.result, record);
    const DrainSettings& asked = run.site.drain;
    record.figures.push_back({"days", static_cast<double>(asked.days), {}});
    record.figures.push_back({"root_depth_m", asked.root_depth_m, {}});
    record.figures.push_back({"wanted_time_s", asked.wanted_time_s, {}});
    record.figures.push_back({"rate_m_s", asked.rate_m_s, {}});
    record.figures.push_back({"ran_off_in_storm_m3", found.ran_off_in_storm_m3, {}});
    add_field_figures(run, soil, found.result, found.depths.at(2));
    write_rasters(run, found.depths, found.result);
    if (run.site.drain.spacing_m) follow_with_pipes(run, cells, soil);
    run.summary.parts.push_back(std::move(record));
    run.summary.cautions.push_back(
        "Days after the storm, pipe spacings and bed heights are a screening with the soil you gave, no "
        "design: no drain without an outlet, and without asking about wetland and drainage law and buried "
        "utilities first; a drainage system is designed by a licensed person; a bed doesn't cure infected "
        "ground.");
}

}  // namespace lielow
