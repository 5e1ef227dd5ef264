// SPDX-License-Identifier: Apache-2.0
// Paths of air followed back through winds whose paths are known.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <vector>

#include "sim/night_origin.hpp"

namespace lielow {
namespace {

using Blows = std::function<std::pair<double, double>(double x, double y)>;

/// A night of `hours` whose wind, m/s, depends on the place in m alone; coldest at its end everywhere.
NightResult windy(int rows, int cols, double cell, double hours, const Blows& blows) {
    NightResult night;
    night.plan.grid = {rows, cols, cell, cell};
    night.coldest_time_s = Field<float>(rows, cols, static_cast<float>(hours * 3600));
    for (int n = 0; n <= 4 * static_cast<int>(hours); ++n) {
        NightState state;
        state.time_s = 900.0 * n;
        state.wind_x = Field<float>(rows, cols);
        state.wind_y = Field<float>(rows, cols);
        for (int j = 0; j < rows; ++j) {
            for (int i = 0; i < cols; ++i) {
                const auto [x, y] = blows((i + 0.5) * cell, (j + 0.5) * cell);
                state.wind_x(j, i) = static_cast<float>(x);
                state.wind_y(j, i) = static_cast<float>(y);
            }
        }
        night.states.push_back(std::move(state));
    }
    return night;
}

std::vector<NightPlace> every_cell(const Grid& grid) {
    std::vector<NightPlace> places;
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i) places.push_back({j + 0.5, i + 0.5});
    }
    return places;
}

TEST(NightOrigin, SteadyWindBringsAirFromAsFarAsItBlows) {
    // 2 h of 0.05 m/s are 360 m: air over the first 36 of 100 cells of 10 m was outside at sunset.
    const NightResult night = windy(10, 100, 10, 2, [](double, double) { return std::pair{0.05, 0.0}; });
    const auto places = every_cell(night.plan.grid);
    EXPECT_NEAR(share_from_edges(night, places, {}, places.size()), 0.36, 0.011);
    const NightResult down = windy(100, 10, 10, 2, [](double, double) { return std::pair{0.0, -0.05}; });
    const auto column = every_cell(down.plan.grid);
    EXPECT_NEAR(share_from_edges(down, column, {}, column.size()), 0.36, 0.011);
}

TEST(NightOrigin, CalmAndWhirlingAirStays) {
    const NightResult calm = windy(8, 8, 10, 2, [](double, double) { return std::pair{0.0, 0.0}; });
    EXPECT_EQ(share_from_edges(calm, every_cell(calm.plan.grid)), 0);
    // Round the middle of 400 m, 2 h of an eighth of a turn in 10 minutes: circles that fit in never leave,
    // so what left lies farther out than 200 m. Seen from above that is the square less its inscribed circle.
    const double turn = std::acos(-1.0) / 4 / 600;
    const NightResult whirl = windy(40, 40, 10, 2, [&](double x, double y) {
        return std::pair{-(y - 200) * turn, (x - 200) * turn};
    });
    const auto places = every_cell(whirl.plan.grid);
    EXPECT_NEAR(share_from_edges(whirl, places, {}, places.size()), 1 - std::acos(-1.0) / 4, 0.03);
}

TEST(NightOrigin, PathsGoOnThroughTheWiderNight) {
    const Blows blows = [](double, double) { return std::pair{0.05, 0.0}; };
    const NightResult farm = windy(10, 20, 10, 2, blows);
    const NightResult around = windy(12, 20, 40, 2, blows);
    const auto places = every_cell(farm.plan.grid);
    EXPECT_EQ(share_from_edges(farm, places, {}, places.size()), 1);  // 200 m are blown through in no time
    // 400 m of ground upwind of the farm: nothing comes from beyond that in 2 h; of 260 m: the first 100 m.
    EXPECT_EQ(share_from_edges(farm, places, {&around, 400, 100}, places.size()), 0);
    EXPECT_NEAR(share_from_edges(farm, places, {&around, 260, 100}, places.size()), 0.5, 0.051);
}

}  // namespace
}  // namespace lielow
