// SPDX-License-Identifier: Apache-2.0
#include "sim/storm_plan.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {

double storm_steps(double cell_m, double seconds) {
    constexpr double step_per_metre = 0.25;  // s
    return seconds / (step_per_metre * cell_m);
}

Blocks storm_blocks(const Grid& fine, double cell_m, double seconds, double work_limit) {
    const auto blocks_for = [&](double cell) {
        return Blocks{std::max(1, static_cast<std::int32_t>(std::lround(cell / fine.dy))),
                      std::max(1, static_cast<std::int32_t>(std::lround(cell / fine.dx)))};
    };
    if (cell_m > 0) return blocks_for(cell_m);
    const auto work = [&](const Blocks& blocks) {
        const Grid grid = block_grid(fine, blocks);
        return static_cast<double>(grid.cells()) * storm_steps(std::min(grid.dx, grid.dy), seconds);
    };
    double cell = std::min(fine.dx, fine.dy);
    while (work(blocks_for(cell)) > work_limit) cell *= 1.1;
    return blocks_for(cell);
}

StormPlan storm_plan(const Ground& ground, const Blocks& blocks, MassCurve rain) {
    StormPlan plan{block_grid(ground.grid, blocks),
                   block_means(ground, blocks),
                   {},
                   std::move(rain),
                   0,
                   ShareLoss{},
                   {},
                   {}};
    plan.outside = Field<std::uint8_t>(plan.grid.rows, plan.grid.cols, std::uint8_t{1});
    for (std::int32_t j = 0; j < ground.grid.rows; ++j) {
        for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
            if (!std::isnan(ground.z(j, i))) plan.outside(j / blocks.rows, i / blocks.cols) = 0;
        }
    }
    return plan;
}

std::vector<bool> small_hollows(const Hollows& hollows, const Blocks& blocks, const Grid& fine) {
    const double least = 9 * fine.cell_area() * blocks.rows * blocks.cols;
    std::vector<bool> small;
    for (const std::int32_t hollow : hollows.hollow_of_catchment)
        small.push_back(hollow >= 0 && hollows.list[static_cast<std::size_t>(hollow)].area_m2 < least);
    return small;
}

}  // namespace lielow
