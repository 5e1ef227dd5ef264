// SPDX-License-Identifier: Apache-2.0
// When it is coldest, and how long it is below given temperatures.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/hours_below.hpp"
#include "sim/night_map.hpp"
#include "tools/night_flow.hpp"
#include "tools/night_spots.hpp"
#include "tools/night_times.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;

Field<float> temperature_c(const SiteRun& run, const NightSetup& setup, const NightState& state) {
    const NightResult& night = *run.night;
    Field<float> t = map_deficit(run.dem.ground,
                                 IsothermSurfaces(run.dem.ground, night.plan, night.scale, night.ground,
                                                  state.isotherm_height, &state.gradient),
                                 night.scale, setup.plant_height_m);
    deficit_to_celsius(run.dem.ground, setup, t);
    return t;
}

/// Before anything has cooled.
Field<float> evening_c(const SiteRun& run, const NightSetup& setup) {
    Field<float> t(run.dem.ground.grid.rows, run.dem.ground.grid.cols, 0.0F);
    deficit_to_celsius(run.dem.ground, setup, t);
    return t;
}

/// Every kept state, or every so many on large ground, where each costs more than it tells.
std::size_t stride_of(const Ground& ground) {
    constexpr std::size_t quick = 4'000'000;  // cells
    return std::clamp<std::size_t>(ground.grid.cells() / quick, 1, 4);
}

/// Time of the lowest temperature on the DEM's cells, h after sunset: that of the night's own cell.
Field<float> lowest_hour(const SiteRun& run) {
    const Blocks& blocks = run.night->plan.blocks;
    Field<float> hour(run.dem.ground.grid.rows, run.dem.ground.grid.cols);
    for (std::int32_t j = 0; j < hour.rows(); ++j) {
        for (std::int32_t i = 0; i < hour.cols(); ++i)
            hour(j, i) = run.night->coldest_time_s(j / blocks.rows, i / blocks.cols) / 3600.0F;
    }
    return hour;
}

}  // namespace

void write_hours(SiteRun& run, const NightSetup& setup, double sunset_s) {
    finish_raster(run, lowest_hour(run),
                  {"night_low_hour",
                   fmt::format("When it is coldest: hours after sunset, which is at {}",
                               clock_text(run.site, run.dem.geo, sunset_s)),
                   "h"});
    std::vector<double> thresholds_c;
    for (const double t : run.site.night.hours_below_k) thresholds_c.push_back(t - kelvin_zero_c);
    if (thresholds_c.empty()) return;
    begin_stage(run, "hours below");
    HoursBelow hours(thresholds_c, evening_c(run, setup), 0);
    const auto& states = run.night->states;
    const std::size_t stride = stride_of(run.dem.ground);
    for (std::size_t n = 0; n < states.size(); ++n) {
        const bool last = n + 1 == states.size();
        if ((n + 1) % stride != 0 && !last) continue;
        throw_if_stopped();
        hours.add(temperature_c(run, setup, states[n]), states[n].time_s);
        run.progress.at(static_cast<double>(n + 1) / static_cast<double>(states.size()));
    }
    for (std::size_t n = 0; n < thresholds_c.size(); ++n) {
        const double k = run.site.night.hours_below_k[n];
        finish_raster(
            run, hours.take(n),
            {hours_below_name(k, run.site.units),
             fmt::format("Hours of the night below {} at {:.2f} m above the ground",
                         people_text(k, PeopleQuantity::temperature, run.site.units), setup.plant_height_m),
             "h"});
    }
}

}  // namespace lielow
