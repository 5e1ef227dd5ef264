// SPDX-License-Identifier: Apache-2.0
// A storm on coarse cells told on fine ones.
#include "sim/fine_storm.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/tie_order.hpp"

namespace lielow {
namespace {

constexpr double hour = 3600;

/// Ground falling east with a bowl 36 m wide and a small one of 5 m, on 1 m.
Ground two_bowls() {
    constexpr std::int32_t n = 80;
    Ground g{{n, n, 1, 1}, Field<float>(n, n), Field<std::uint8_t>(n, n, std::uint8_t{1})};
    const auto bowl = [](double x, double y, double at_x, double at_y, double radius, double depth) {
        const double r2 = ((x - at_x) * (x - at_x) + (y - at_y) * (y - at_y)) / (radius * radius);
        return r2 < 1 ? -depth * (1 - r2) : 0.0;
    };
    for (std::int32_t j = 0; j < n; ++j) {
        for (std::int32_t i = 0; i < n; ++i) {
            const double x = i + 0.5;
            const double y = j + 0.5;
            g.z(j, i) = static_cast<float>(100 - 0.01 * x + bowl(x, y, 32, 40, 18, 0.5) +
                                           bowl(x, y, 66, 20, 2.5, 0.2));
        }
    }
    return g;
}

struct Told {
    Field<float> depth, hours;
    StormResult storm;
    double pond_m3 = 0;  ///< in the large bowl at its greatest depths
};

Told tell(const Ground& ground, const Blocks& blocks, double rain_m) {
    StormPlan plan = storm_plan(ground, blocks, storm_of_shape(RainShape::uniform, rain_m, hour));
    plan.follow_s = 2 * hour;
    plan.roughness = Field<float>(plan.grid.rows, plan.grid.cols, 0.05F);
    const Field<float> order = order_ties(ground.z);
    const Catchments catchments = find_catchments(ground.grid, ground.z, order);
    const Hollows hollows = find_hollows(ground.grid, ground.z, catchments);
    FineStorm fine(ground, plan, blocks, catchments, hollows, order);
    Told told;
    told.storm = run_storm<double>(plan, [&](const StormMoment& moment, const StackSolver<double>& solver) {
        fine.look(moment, solver);
    });
    told.depth = fine.greatest_depth(told.storm);
    told.hours = fine.deep_hours().clone();
    for (std::int32_t j = 20; j < 60; ++j) {
        for (std::int32_t i = 12; i < 52; ++i) told.pond_m3 += std::max(0.0F, told.depth(j, i) - 0.01F);
    }
    return told;
}

TEST(FineStorm, CoarseCellsFillTheBowlAsFineOnesDo) {
    const Ground ground = two_bowls();
    const Told fine = tell(ground, {1, 1}, 0.06);
    const Told coarse = tell(ground, {4, 4}, 0.06);
    RecordProperty("pond_coarse_over_fine", std::to_string(coarse.pond_m3 / fine.pond_m3));
    EXPECT_NEAR(coarse.pond_m3, fine.pond_m3, 0.08 * fine.pond_m3);
    EXPECT_NEAR(coarse.depth(40, 32), fine.depth(40, 32), 0.03);
    EXPECT_NEAR(coarse.hours(40, 32), fine.hours(40, 32), 0.5);
    EXPECT_GT(fine.hours(40, 32), 2.0F);
}

TEST(FineStorm, HollowsTooSmallForTheCellsAreFilled) {
    const Ground ground = two_bowls();
    const Told fine = tell(ground, {1, 1}, 0.06);
    const Told coarse = tell(ground, {8, 8}, 0.06);
    EXPECT_GT(fine.depth(20, 66), 0.1F);
    EXPECT_NEAR(coarse.depth(20, 66), fine.depth(20, 66), 0.02);
}

TEST(FineStorm, AKnollInThePondStaysDry) {
    Ground ground = two_bowls();
    ground.z(40, 26) = 100.4F;
    const Told coarse = tell(ground, {4, 4}, 0.06);
    EXPECT_LT(coarse.depth(40, 26), 0.02F);
    EXPECT_GT(coarse.depth(40, 28), 0.1F);
}

TEST(FineStorm, UnknownGroundStaysUnknown) {
    Ground ground = two_bowls();
    ground.z(5, 5) = NAN;
    ground.known(5, 5) = 0;
    const Told coarse = tell(ground, {4, 4}, 0.01);
    EXPECT_TRUE(std::isnan(coarse.depth(5, 5)));
    EXPECT_TRUE(std::isnan(coarse.hours(5, 5)));
    EXPECT_FALSE(std::isnan(coarse.depth(5, 6)));
}

TEST(StormBlocks, CostPicksTheCell) {
    const Grid farm{2000, 2000, 1, 1};
    EXPECT_EQ(storm_blocks(farm, 5, 108000).rows, 5);
    const Blocks chosen = storm_blocks(farm, 0, 108000);
    const Grid grid = block_grid(farm, chosen);
    EXPECT_LE(static_cast<double>(grid.cells()) * storm_steps(grid.dx, 108000), 4e9);
    const Blocks finer{chosen.rows - 1, chosen.cols - 1};
    const Grid dear = block_grid(farm, finer);
    EXPECT_GT(static_cast<double>(dear.cells()) * storm_steps(dear.dx, 108000), 4e9);
    EXPECT_EQ(storm_blocks({100, 100, 1, 1}, 0, 3600).rows, 1);
}

}  // namespace
}  // namespace lielow
