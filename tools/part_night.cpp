// SPDX-License-Identifier: Apache-2.0
// The frost night: solved on coarse cells, read on the DEM's own grid.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "sim/night.hpp"
#include "sim/night_map.hpp"
#include "sim/zonal.hpp"
#include "tools/archive_night.hpp"
#include "tools/night_around.hpp"
#include "tools/night_crop.hpp"
#include "tools/night_flow.hpp"
#include "tools/night_setup.hpp"
#include "tools/night_spots.hpp"
#include "tools/night_times.hpp"
#include "tools/reference_spot.hpp"
#include "tools/report_night.hpp"
#include "tools/site_run.hpp"
#include "tools/site_wind.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;

void record_evening(const SiteRun& run, const NightSpan& span, const ReferenceSpot& spot,
                    const NightSetup& setup, PartRecord& record) {
    record.words.emplace_back("date", date_text(run.site));
    record.words.emplace_back("sunset", clock_text(run.site, run.dem.geo, span.sunset_s));
    record.words.emplace_back("sunrise", clock_text(run.site, run.dem.geo, span.sunrise_s));
    record.words.emplace_back("clock", clock_name(run.site, run.dem.geo));
    record.words.emplace_back("reference", spot.text);
    record.words.emplace_back("reference_position", fmt::format("{:.2f}, {:.2f}", spot.x, spot.y));
    record.figures.push_back({"length_s", span.length_s(), {}});
    record.figures.push_back({"evening_air_c", setup.evening_air_k - kelvin_zero_c, {}});
    record.figures.push_back({"plant_height_m", setup.plant_height_m, {}});
    record.figures.push_back({"reference_elevation_m", setup.reference_elevation_m, {}});
}

/// Where the loss comes from and what it is computed with.
void record_loss(const NightLoss& loss, const NightSetup& setup, PartRecord& record) {
    record.words.emplace_back("loss_from", loss.from);
    if (setup.weather.empty()) record.figures.push_back({"cloud_share", setup.cloud, {}});
    if (loss.rule == LossRule::constant) {
        record.figures.push_back({"clear_sky_loss_w_m2", setup.heat_loss_w_m2, {}});
        return;
    }
    record.words.emplace_back("loss_rule",
                              "net longwave radiation by FAO-56 equation 39, the soil's share by its "
                              "equation 46, dew and hoar frost by Bowen's ratio");
    record.figures.push_back({"air_share", setup.air_share, {}});
    if (setup.weather.empty()) {
        record.figures.push_back({"dew_point_c", setup.dew_point_k - kelvin_zero_c, {}});
    } else {
        record.figures.push_back({"weather_records", static_cast<double>(setup.weather.size()), {}});
    }
}

/// How much sky every cell sees goes into the setup, its least and its mean into the record.
void look_at_sky(SiteRun& run, int directions, NightSetup& setup, PartRecord& record) {
    if (directions == 0) return;
    begin_stage(run, "sky view");
    auto view = site_sky_view(run.dem, directions);
    double sum = 0;
    double least = 1;
    std::size_t known = 0;
    for (const float v : view->all()) {
        if (std::isnan(v)) continue;
        sum += static_cast<double>(v);
        least = std::min(least, static_cast<double>(v));
        ++known;
    }
    record.figures.push_back({"sky_directions", static_cast<double>(directions), {}});
    record.figures.push_back({"sky_view_mean_share", sum / static_cast<double>(known), {}});
    record.figures.push_back({"sky_view_least_share", least, {}});
    setup.sky_view = std::move(view);
}

void record_plan(const NightPlan& plan, PartRecord& record) {
    record.figures.push_back({"cell_width_m", plan.grid.dx, {}});
    record.figures.push_back({"cell_height_m", plan.grid.dy, {}});
    record.figures.push_back({"sheets", static_cast<double>(plan.sheets), {}});
    record.figures.push_back({"sheet_step_k", plan.sheet_step_k, {}});
    record.figures.push_back({"flat_ground_drop_k", plan.flat_drop_k, {}});
}

void record_result(const NightResult& night, const NightSetup& setup, PartRecord& record) {
    const double area = static_cast<double>(night.plan.grid.cells()) * night.plan.grid.cell_area();
    record.figures.push_back({"mean_loss_w_m2",
                              night.heat_lost_k_m3 / (area * setup.duration_s) *
                                  air_heat_capacity(setup.evening_air_k, setup.reference_elevation_m),
                              {}});
    record.figures.push_back({"steps", static_cast<double>(night.steps), {}});
    record.figures.push_back({"heat_lost_k_m3", night.heat_lost_k_m3, {}});
    record.figures.push_back({"heat_in_air_k_m3", night.heat_in_air_k_m3, {}});
    record.figures.push_back({"heat_through_edges_k_m3", night.heat_through_edges_k_m3, {}});
    record.figures.push_back({"heat_given_by_fans_k_m3", night.heat_given_k_m3, {}});
    record.figures.push_back({"heat_of_fans_unused_k_m3", night.heat_unused_k_m3, {}});
    record.figures.push_back({"heat_residual_share", night.heat_residual(), {}});
    record.figures.push_back({"far_ground_m", night.far_ground_m, {}});
    record.figures.push_back({"ladder_full_share", night.ladder_full_share, {}});
    record.figures.push_back({"states", static_cast<double>(night.states.size()), {}});
}

/// For a GIS: the place that night_offset is counted from.
VectorLayer reference_layer(const ReferenceSpot& spot, double elevation_m, double low_c) {
    VectorLayer layer{"reference_spot", "The spot other places are compared with", Shape::point, {}, {}};
    layer.geometries.push_back(point_wkb(spot.x, spot.y));
    layer.columns.push_back({"chosen_as", "How it was chosen", std::vector{spot.text}});
    layer.columns.push_back({"elevation_m", "Elevation of the ground, metres", std::vector{elevation_m}});
    layer.columns.push_back(
        {"night_low_degc", "Lowest air temperature of the night there, degrees Celsius", std::vector{low_c}});
    return layer;
}

void write_temperatures(SiteRun& run, const NightSetup& setup, const NightResult& night,
                        const ReferenceSpot& spot, const std::optional<CropOutlook>& crop,
                        PartRecord& record) {
    const Ground& ground = run.dem.ground;
    begin_stage(run, "lowest temperature");
    Field<float> low = map_deficit(ground,
                                   IsothermSurfaces(ground, night.plan, night.scale, night.ground,
                                                    night.coldest_height, &night.coldest_gradient),
                                   night.scale, setup.plant_height_m);
    deficit_to_celsius(ground, setup, low);
    const float reference = low[spot.cell];
    record.figures.push_back({"reference_low_c", static_cast<double>(reference), {}});
    Field<float> offset = low.clone();
    for (float& value : offset.all()) value -= reference;
    finish_raster(run, std::move(low),
                  {"night_low",
                   fmt::format("Lowest air temperature of the night at {:.2f} m above the ground",
                               setup.plant_height_m),
                   "degC"});
    run.layers.push_back(reference_layer(spot, setup.reference_elevation_m, static_cast<double>(reference)));
    begin_stage(run, "offset from the reference spot");
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const Zone zone{run.fields[i].cells, run.fields[i].share};
        const double colder = zonal_area(ground.grid, offset, zone,
                                         [](float d) { return d < static_cast<float>(-clearly_colder_k); });
        run.summary.fields[i].figures.push_back(
            {"colder_by_2_degf_m2", colder,
             "Area colder than the reference spot by more than 2 degF that night"});
    }
    if (crop) write_crop_rasters(run, *crop, setup, offset, spot, record);
    finish_raster(
        run, std::move(offset),
        {"night_offset",
         fmt::format("Lowest air temperature of the night less that of the reference spot ({})", spot.text),
         "K"});
}

void write_cold_depth(SiteRun& run, const NightResult& night) {
    begin_stage(run, "depth of the cold air");
    finish_raster(
        run,
        map_cold_depth(run.dem.ground, IsothermSurfaces(run.dem.ground, night.plan, night.scale, night.ground,
                                                        night.states.back().isotherm_height)),
        {"cold_depth",
         fmt::format(
             "Height above the ground at sunrise of the isotherm {:.2f} K colder than the evening air",
             0.5 * night.plan.sheet_step_k),
         "m"});
}

}  // namespace

void run_night_part(SiteRun& run) {
    begin_stage(run, "evening");
    const SiteEvening evening = read_evening(run.site, run.dem, run.fields, run.obstacles, run.summary.notes);
    const auto& [span, spot, loss, surface, cover] = evening;
    NightSetup setup = night_setup(run.site, evening, run.summary.notes);
    const std::vector<PlacedSpot> spots = read_site_spots(run.site, run.dem, run.summary.notes);
    check_flow_hour(run.site, run.dem, span.sunset_s, span.length_s());
    const NightPlan plan = site_night_plan(run.site, run.dem.ground.grid, setup);
    const auto crop = read_site_crop(run.site, run.dem, run.summary.notes);
    note_poor_plan(plan, run.summary.notes);
    PartRecord record{"night", {}, {}};
    record_evening(run, span, spot, setup, record);
    record_loss(loss, setup, record);
    look_at_sky(run, loss.sky_directions, setup, record);
    record_plan(plan, record);
    record_surface(surface, run.dem.ground, record);
    begin_stage(run, "night");
    FlowWatch watch = flow_watch(run, plan);
    const NightSurface laid = night_surface(surface, setup, plan, run.dem.ground, run.summary.notes);
    NightWithEdges solved =
        night_with_edges(run, setup, plan, laid, span, loss.sky_directions, watch, record);
    run.night = std::move(solved.night);
    record_result(*run.night, setup, record);
    record_wind(run.site, setup, *run.night, record);
    write_temperatures(run, setup, *run.night, spot, crop, record);
    write_cold_depth(run, *run.night);
    archive_night(run, setup, watch, span.sunset_s);
    write_hours(run, setup, span.sunset_s);
    write_flow(run, watch, solved.around, setup, span.sunset_s, record);
    write_spots(run, spots, setup, watch, span.sunset_s);
    run.night_hours =
        std::make_shared<const NightHours>(night_hours(run, spots, setup, watch, span.sunset_s));
    if (const auto caution = ladder_caution(plan, run.night->ladder_full_share))
        run.summary.cautions.push_back(*caution);
    run.summary.cautions.emplace_back(frost_caution);
    run.summary.parts.push_back(std::move(record));
}

}  // namespace lielow
