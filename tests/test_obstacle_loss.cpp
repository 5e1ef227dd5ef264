// SPDX-License-Identifier: Apache-2.0
// What a line of given openness costs the flow that crosses it: the head K u²/2 that the law asks for.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "sim/stack_solver.hpp"
#include "support/slope_night.hpp"

namespace lielow {
namespace {

using testing::line_obstacle;

/// One sheet of heavy air in a level channel, driven through a fence: the fall of the head over its loss by
/// the law, K u²/2. What the flow gives up between the ends of the channel is the fence's alone: nothing else
/// drags.
double measured_over_law(double cell, double openness, double height, double discharge) {
    constexpr double buoyancy = 0.1;  // m/s²
    constexpr double level = 8.0;     // m, downstream
    const Grid grid{4, static_cast<int>(400 / cell), cell, cell};
    StackParameters p;
    p.buoyancy = {buoyancy};
    p.edges = {EdgeKind::inflow, EdgeKind::far_field, EdgeKind::wall, EdgeKind::wall};
    StackSolver<double> solver(grid, Field<double>(grid.rows, grid.cols, 0.0), p);
    NightSurface surface;
    CanopySum canopy(grid);
    add_standing({line_obstacle(ObstacleKind::fence, height, openness, {{201, 0}, {201, 4 * cell}})}, grid,
                 {1, 1}, canopy, surface);
    canopy.put(surface);
    solver.set_canopy(surface.canopy_top, surface.canopy_drag);
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i) solver.set_thickness(0, j, i, level);
        for (int i = 0; i <= grid.cols; ++i) solver.set_velocity_x(0, j, i, discharge / level);
    }
    const double outside[] = {level};
    solver.set_far_field(outside, 0.0, 1.0);
    solver.set_inflow(Side::west, discharge);
    solver.run_until(20000);
    const auto head = [&](int col) {
        const double h = solver.thickness(0, 1, col);
        const double u = 0.5 * (solver.velocity_x(0, 1, col) + solver.velocity_x(0, 1, col + 1));
        return buoyancy * h + 0.5 * u * u;
    };
    const int at = static_cast<int>(201 / cell);
    const double fall = head(at - 4) - head(at + 4);
    // The fence's own loss, with the speed where it stands, on the part of the depth that it reaches.
    const double h = solver.thickness(0, 1, at);
    const double u = discharge / h;
    return fall / (screen_loss_coefficient(openness) * 0.5 * u * u * std::min(1.0, height / h));
}

TEST(ObstacleLoss, CrossingCostsWhatTheLawSays) {
    for (const double cell : {5.0, 10.0}) {
        for (const double openness : {0.5, 0.3}) {
            const double emergent = measured_over_law(cell, openness, 20, 0.5);
            const double low = measured_over_law(cell, openness, 4, 0.5);
            std::printf(
                "cells of %2.0f m, openness %.1f: loss over K u^2/2 is %.3f, of a fence lower than the air "
                "%.3f\n",
                cell, openness, emergent, low);
            EXPECT_NEAR(emergent, 1.0, 0.01);
            EXPECT_NEAR(low, 1.0, 0.01);
        }
    }
    // Where the surface falls by a third at the fence, the speed in it is no longer one.
    std::printf("with a fall of a third of the depth: %.3f\n", measured_over_law(5, 0.3, 20, 2.0));
}

}  // namespace
}  // namespace lielow
