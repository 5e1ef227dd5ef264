// SPDX-License-Identifier: Apache-2.0
#include "tools/report_night.hpp"

#include <algorithm>
#include <cmath>

#include "sim/column_temperature.hpp"
#include "sim/night_map.hpp"
#include "sim/night_watch.hpp"
#include "sim/stack_parameters.hpp"
#include "tools/night_times.hpp"
#include "tools/site_run.hpp"

namespace lielow {
namespace {

constexpr double kelvin_zero_c = 273.15;
constexpr double hour_s = 3600;

Field<float> cell_temperatures(const NightResult& night, const NightSetup& setup, const NightState& state) {
    Field<float> t(night.plan.grid.rows, night.plan.grid.cols);
    const auto sheets = static_cast<int>(state.isotherm_height.size());
    float heights[StackParameters::most_sheets];
    for (std::size_t cell = 0; cell < t.size(); ++cell) {
        for (int k = 0; k < sheets; ++k)
            heights[k] = state.isotherm_height[static_cast<std::size_t>(k)][cell];
        const ColumnScale scale{night.scale.sheet_step, static_cast<double>(state.gradient[cell])};
        const double evening_c = setup.evening_air_k - kelvin_zero_c -
                                 dry_lapse * (night.ground[cell] - setup.reference_elevation_m);
        t[cell] = static_cast<float>(evening_c - deficit_at(scale, heights, sheets, setup.plant_height_m));
    }
    return t;
}

void set_flow(const FaceFlow& flow, NightHour& hour) {
    hour.along_m_s = Field<float>(flow.grid.rows, flow.grid.cols);
    hour.down_m_s = Field<float>(flow.grid.rows, flow.grid.cols);
    for (std::int32_t j = 0; j < flow.grid.rows; ++j) {
        for (std::int32_t i = 0; i < flow.grid.cols; ++i) {
            const Velocity v = flow.in_cell(j, i);
            hour.along_m_s(j, i) = static_cast<float>(v.x);
            hour.down_m_s(j, i) = static_cast<float>(v.y);
        }
    }
}

/// Numbers of the states told of: the nearest to each full hour, and the last.
std::vector<std::size_t> told_states(const std::vector<NightState>& states) {
    std::vector<std::size_t> told;
    for (double wanted = hour_s; wanted < states.back().time_s; wanted += hour_s) {
        const auto nearest =
            std::min_element(states.begin(), states.end(), [&](const auto& a, const auto& b) {
                return std::abs(a.time_s - wanted) < std::abs(b.time_s - wanted);
            });
        told.push_back(static_cast<std::size_t>(nearest - states.begin()));
    }
    told.push_back(states.size() - 1);
    told.erase(std::unique(told.begin(), told.end()), told.end());
    return told;
}

}  // namespace

NightHours night_hours(const SiteRun& run, const std::vector<PlacedSpot>& spots, const NightSetup& setup,
                       const FlowWatch& watch, double sunset_s) {
    const NightResult& night = *run.night;
    NightHours result{night.plan.grid, {}, {}, clock_text(run.site, run.dem.geo, sunset_s)};
    for (const std::size_t n : told_states(night.states)) {
        const NightState& state = night.states[n];
        NightHour hour{state.time_s,
                       clock_text(run.site, run.dem.geo, sunset_s + state.time_s),
                       cell_temperatures(night, setup, state),
                       {},
                       {}};
        set_flow(watch.at_states()[n], hour);
        result.hours.push_back(std::move(hour));
    }
    const auto series = spot_series(run, spots, setup, watch);
    const Grid& fine = run.dem.ground.grid;
    for (std::size_t s = 0; s < spots.size(); ++s) {
        const auto cols = static_cast<std::size_t>(fine.cols);
        result.spots.push_back({spots[s].spot.name,
                                (static_cast<double>(spots[s].cell % cols) + 0.5) * fine.dx,
                                (static_cast<double>(spots[s].cell / cols) + 0.5) * fine.dy, series[s]});
    }
    return result;
}

}  // namespace lielow
