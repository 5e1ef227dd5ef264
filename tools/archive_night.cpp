// SPDX-License-Identifier: Apache-2.0
#include "tools/archive_night.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "sim/night_map.hpp"
#include "tools/night_times.hpp"
#include "tools/raster_axes.hpp"

namespace lielow {
namespace {

constexpr double hour_s = 3600;
constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
const char* const isotherms_axis = "sheet";

/// Coarse cells over which the DEM knows nothing.
Field<std::uint8_t> blank_cells(const Ground& ground, const NightPlan& plan) {
    Field<std::uint8_t> blank(plan.grid.rows, plan.grid.cols, std::uint8_t{1});
    for (std::int32_t j = 0; j < ground.grid.rows; ++j) {
        for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
            if (ground.known(j, i) != 0) blank(j / plan.blocks.rows, i / plan.blocks.cols) = 0;
        }
    }
    return blank;
}

template <class Value>
Field<float> known_values(const Field<std::uint8_t>& blank, Value value) {
    Field<float> values(blank.rows(), blank.cols());
    for (std::size_t c = 0; c < values.size(); ++c)
        values[c] = blank[c] != 0 ? unknown : static_cast<float>(value(c));
    return values;
}

/// What each sheet's isotherm is: so much colder than the evening air.
void add_isotherms(const NightPlan& plan, Archive& archive) {
    std::vector<double> colder;
    for (int k = 0; k < plan.sheets; ++k) colder.push_back((k + 0.5) * plan.sheet_step_k);
    archive.add_axis(
        isotherms_axis, colder,
        {{"long_name", "how much colder than the evening's air the isotherm on top of each sheet is"},
         {"units", "K"},
         {"positive", "down"}});
    archive.add_series("",
                       {"isotherm_height",
                        "height above the ground of the isotherm on top of each sheet, 0 where there is none",
                        "m", "", "time: point"},
                       NAN, isotherms_axis);
}

void declare(const SiteRun& run, const NightResult& night, const NightSetup& setup,
             const Field<std::uint8_t>& blank, Archive& archive) {
    const double flow_height = run.site.night.flow_height_m;
    archive.add_cells("", night.plan.grid, night.plan.blocks);
    archive.add_time("", {{"standard_name", "time"},
                          {"long_name", "time, UTC"},
                          {"units", fmt::format("seconds since {} 00:00:00", date_text(run.site))},
                          {"calendar", "standard"},
                          {"axis", "T"}});
    archive.add_field("",
                      {"surface_altitude", "elevation of the ground, mean of the cell", "m",
                       "surface_altitude", "area: mean"},
                      known_values(blank, [&](std::size_t c) { return night.ground[c]; }));
    archive.add_series(
        "", {"air_temperature", "air temperature at plant height", "K", "air_temperature", "time: point"},
        setup.plant_height_m);
    archive.add_series(
        "",
        {"cold_depth",
         fmt::format("height above the ground of the isotherm {:.3g} K colder than the evening's air",
                     0.5 * night.plan.sheet_step_k),
         "m", "", "time: point"},
        NAN);
    const std::string flow =
        fmt::format("of the cold air, mean from the ground to {:.4g} m above it", flow_height);
    archive.add_series("", {"x_wind", "velocity along the map's x " + flow, "m s-1", "x_wind", "time: point"},
                       flow_height);
    archive.add_series("", {"y_wind", "velocity along the map's y " + flow, "m s-1", "y_wind", "time: point"},
                       flow_height);
}

void write_flow(const FaceFlow& flow, const RasterAxes& axes, const Field<std::uint8_t>& blank,
                Archive& archive) {
    Field<float> east(blank.rows(), blank.cols(), unknown);
    Field<float> north(blank.rows(), blank.cols(), unknown);
    for (std::int32_t j = 0; j < blank.rows(); ++j) {
        for (std::int32_t i = 0; i < blank.cols(); ++i) {
            if (blank(j, i) != 0) continue;
            const Velocity v = flow.in_cell(j, i);
            east(j, i) = static_cast<float>(v.x * axes.x_east + v.y * axes.y_east);
            north(j, i) = static_cast<float>(v.x * axes.x_north + v.y * axes.y_north);
        }
    }
    archive.write("x_wind", east.all());
    archive.write("y_wind", north.all());
}

void write_isotherms(const NightState& state, const Field<std::uint8_t>& blank, Archive& archive) {
    std::vector<float> all;
    for (const Field<float>& height : state.isotherm_height) {
        const Field<float> known = known_values(blank, [&](std::size_t c) { return height[c]; });
        all.insert(all.end(), known.all().begin(), known.all().end());
    }
    archive.write("isotherm_height", all);
}

void write_night(const SiteRun& run, const NightResult& night, const NightSetup& setup,
                 const FlowWatch& watch, double sunset_s, Archive& archive) {
    const Field<std::uint8_t> blank = blank_cells(run.dem.ground, night.plan);
    const bool all = run.site.archive == "states";
    declare(run, night, setup, blank, archive);
    if (all) add_isotherms(night.plan, archive);
    const RasterAxes axes = raster_axes(run.dem.geo);
    for (std::size_t n = 0; n < night.states.size(); ++n) {
        const NightState& state = night.states[n];
        const bool told = all || std::fmod(state.time_s, hour_s) == 0 || n + 1 == night.states.size();
        if (!told) continue;
        archive.append("", sunset_s + state.time_s);
        const Field<float> temperature = cell_temperature_k(night, setup, state);
        archive.write("air_temperature",
                      known_values(blank, [&](std::size_t c) { return temperature[c]; }).all());
        archive.write("cold_depth", known_values(blank, [&](std::size_t c) {
                                        return state.isotherm_height.front()[c];
                                    }).all());
        write_flow(watch.at_states().at(n), axes, blank, archive);
        if (all) write_isotherms(state, blank, archive);
    }
}

}  // namespace

void archive_night(SiteRun& run, const NightSetup& setup, const FlowWatch& watch, double sunset_s) {
    if (run.archive == nullptr) return;
    begin_stage(run, "archive of the night");
    write_night(run, *run.night, setup, watch, sunset_s, *run.archive);
}

void archive_hours_so_far(const SiteRun& run, const NightResult& so_far, const NightSetup& setup,
                          const FlowWatch& watch, double sunset_s) {
    if (run.archive == nullptr) return;
    run.resume->keep_readable("archive.nc", [&](const std::filesystem::path& path) {
        Archive archive(run.summary, run.dem.geo);
        write_night(run, so_far, setup, watch, sunset_s, archive);
        archive.save(path);
    });
}

}  // namespace lielow
