// SPDX-License-Identifier: Apache-2.0
#include "sim/tie_order.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "sim/hollows.hpp"
#include "sim/storm_fill.hpp"
#include "tests/support/flood.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using test::grid_of;
using test::grid_over;

struct Ponded {
    Field<float> depth;
    StormPonds ponds;
};

Ponded ponded_after(const Field<float>& z, double runoff_m) {
    const Grid grid = grid_over(z, 1.0);
    const Field<float> order = order_ties(z);
    const Catchments catchments = find_catchments(grid, z, order);
    const NestedHollows hollows = nest_hollows(grid, z, catchments, order);
    StormPonds ponds = fill_from_runoff(hollows, runoff_by_catchment(hollows, runoff_m));
    return {pond_depth(z, catchments, ponds), std::move(ponds)};
}

TEST(TieOrder, KeepsElevationsApartAndEveryCellDifferent) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Field<float>& z = ground.z;
        const Field<float> order = order_ties(z);
        std::vector<std::pair<float, float>> pairs;
        for (std::size_t cell = 0; cell < z.size(); ++cell) {
            ASSERT_EQ(std::isnan(z[cell]), std::isnan(order[cell]));
            if (!std::isnan(z[cell])) pairs.emplace_back(order[cell], z[cell]);
        }
        std::sort(pairs.begin(), pairs.end());
        for (std::size_t i = 1; i < pairs.size(); ++i) {
            ASSERT_LT(pairs[i - 1].first, pairs[i].first);
            ASSERT_LE(pairs[i - 1].second, pairs[i].second);
        }
    }
}

TEST(TieOrder, LevelGroundLeansToLowerGroundThenToLowerSurroundings) {
    const Field<float> order = order_ties(grid_of({{9, 9, 9, 9, 9, 9, 9},
                                                   {9, 5, 5, 5, 5, 1, 9},
                                                   {9, 9, 9, 9, 9, 9, 9},
                                                   {9, 9, 5, 9, 9, 9, 9},
                                                   {9, 9, 9, 9, 9, 7, 5}}));
    for (std::size_t cell = 8; cell < 11; ++cell) EXPECT_GT(order[cell], order[cell + 1]);
    EXPECT_GT(order[23], order[34]) << "a 5 among 9s counts as higher than one beside a 7";
}

// Any strict order that keeps elevations apart gives the same levels as the published fill.
TEST(TieOrder, FullHollowsAreTheSameToTheLastBit) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Field<float>& z = ground.z;
        const Grid grid = grid_over(z, 1.0);
        const Catchments plain = find_catchments(grid, z);
        const Catchments leaning = find_catchments(grid, z, order_ties(z));
        const Field<float> depth = hollow_depth(z, plain, find_hollows(grid, z, plain));
        ASSERT_TRUE(test::same(depth, hollow_depth(z, leaning, find_hollows(grid, z, leaning))));
        const Ponded ponded = ponded_after(z, 1e6);
        for (std::size_t cell = 0; cell < z.size(); ++cell) {
            if (std::isnan(z[cell])) continue;
            ASSERT_NEAR(ponded.depth[cell], depth[cell], 1e-6F + 1e-6F * depth[cell]);
        }
    }
}

/// Largest relative change of the water on the ground, and how many of 1 000 cells change by more than 0.1
/// mm, when the raster is laid down in eight ways.
struct Moved {
    double water = 0;
    double per_mille = 0;
};
Moved moved(const Field<float>& z, double runoff_m) {
    const Ponded first = ponded_after(z, runoff_m);
    Moved most;
    for (int way = 1; way < 8; ++way) {
        const Ponded other = ponded_after(test::turned(z, way), runoff_m);
        const Field<float> expected = test::turned(first.depth, way);
        double changed = 0;
        for (std::size_t cell = 0; cell < expected.size(); ++cell)
            changed += std::abs(expected[cell] - other.depth[cell]) > 1e-4F ? 1 : 0;
        most.per_mille = std::max(most.per_mille, 1000 * changed / static_cast<double>(z.size()));
        most.water = std::max(most.water, std::abs(other.ponds.ponded_m3 / first.ponds.ponded_m3 - 1));
    }
    return most;
}

// 0.02 m fills part of the hollows, 0.07 m most. What is left to the numbers of cells at steps of 10 cm is
// where even the wider surroundings are equal.
TEST(TieOrder, StormsTurnWithTheRaster) {
    for (const double step : {0.0, 0.01, 0.1}) {
        SCOPED_TRACE(step);
        Field<float> z = test::fractal(150, 145, 4);
        if (step > 0) test::quantise(z, static_cast<float>(step));
        const Moved by = moved(z, 0.02);
        RecordProperty("moved_at_steps_of_" + std::to_string(step), std::to_string(1e9 * by.water) + "e-9");
        EXPECT_LT(by.water, step > 0.05 ? 1e-3 : 1e-12);
        EXPECT_LT(by.per_mille, step > 0.05 ? 5 : 1e-12);
    }
}

// Two basins of equal room left and right of a third, the ground beside one of the two equally high sills a
// little lower: however the plot is laid down, the water runs over there.
TEST(TieOrder, OfTwoSillsTheOneInLowerGround) {
    const Field<float> plot = grid_of({{9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9},
                                       {9, 9, 9, 9, 9, 9, 9, 9, 8, 9, 9},
                                       {9, 2, 2, 2, 5, 3, 5, 2, 2, 2, 9},
                                       {9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9},
                                       {9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9}});
    for (int way = 0; way < 8; ++way) {
        SCOPED_TRACE(way);
        const Field<float> turned = test::turned(plot, way);
        const Grid grid = grid_over(turned, 1.0);
        const Field<float> order = order_ties(turned);
        const Catchments catchments = find_catchments(grid, turned, order);
        const NestedHollows hollows = nest_hollows(grid, turned, catchments, order);
        Field<float> middle(plot.rows(), plot.cols(), 0.0F);
        middle[27] = 4.0F;  // its basin holds 2
        const Field<float> runoff = test::turned(middle, way);
        const StormPonds ponds = fill_from_runoff(hollows, runoff_by_catchment(grid, catchments, runoff));
        const Field<float> depth = pond_depth(turned, catchments, ponds);
        Field<float> marks(plot.rows(), plot.cols(), 0.0F);
        marks[29] = 1.0F;
        const Field<float> right = test::turned(marks, way);
        for (std::size_t cell = 0; cell < right.size(); ++cell) {
            if (right[cell] <= 0) continue;
            EXPECT_NEAR(depth[cell], 2.0 / 3.0, 1e-6);
        }
    }
}

}  // namespace
}  // namespace lielow
