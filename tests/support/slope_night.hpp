// SPDX-License-Identifier: Apache-2.0
// A night on simple ground, for what stands in the way of the air.
#pragma once

#include <functional>
#include <vector>

#include "sim/night.hpp"
#include "sim/night_map.hpp"
#include "sim/obstacles.hpp"

namespace lielow::testing {

inline Ground ground_of(int rows, int cols, double cell,
                        const std::function<double(double x, double y)>& elevation) {
    Ground ground{{rows, cols, cell, cell}, Field<float>(rows, cols), Field<std::uint8_t>(rows, cols, 1)};
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i)
            ground.z(j, i) = static_cast<float>(elevation((i + 0.5) * cell, (j + 0.5) * cell));
    }
    return ground;
}

inline NightSurface surface_of(const std::vector<Obstacle>& standing, const std::vector<Fan>& fans,
                               const Ground& ground, const NightPlan& plan) {
    NightSurface surface;
    CanopySum canopy(plan.grid);
    add_standing(standing, ground.grid, plan.blocks, canopy, surface);
    canopy.put(surface);
    add_fans(fans, plan.grid, surface);
    return surface;
}

inline Obstacle line_obstacle(ObstacleKind kind, double height, double openness, Polyline points,
                              std::vector<LineOpening> openings = {}) {
    Obstacle obstacle;
    obstacle.name = "line";
    obstacle.kind = kind;
    obstacle.height_m = height;
    obstacle.openness = openness;
    obstacle.lines.push_back({std::move(points), std::move(openings)});
    return obstacle;
}

inline Field<float> coldest_deficit(const Ground& ground, const NightSetup& s, const NightResult& night) {
    return map_deficit(ground,
                       IsothermSurfaces(ground, night.plan, night.scale, night.ground, night.coldest_height,
                                        &night.coldest_gradient),
                       night.scale, s.plant_height_m);
}

}  // namespace lielow::testing
