// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <array>
#include <limits>

#include "sim/errors.hpp"
#include "sim/neighbours.hpp"
#include "sim/stage.hpp"
#include "tests/support/flood.hpp"

namespace lielow {
namespace {

using test::grid_of;
using test::grid_over;
using test::kNaN;

Field<float> strip() {
    return grid_of({{100, 100, 100, 100, 100, 100, 100, 100},
                    {10, 4, 6, 3, 5, 2, 7, 1},
                    {100, 100, 100, 100, 100, 100, 100, 100}});
}

// By hand: level water at 5.5 grown from C (2) wets 3, 5, 2; A (4) stays dry behind the pass at 6.
TEST(Stage, LevelWaterStaysBehindAPassNotYetUnder) {
    const Field<float> z = strip();
    const Catchments catchments = find_catchments(grid_over(z), z);
    const std::array<std::uint32_t, 5> field{9, 10, 11, 12, 13};
    const Stage stage = stage_above_low_point(z, catchments, field);
    EXPECT_EQ(stage.low_cell, 13U);
    EXPECT_EQ(stage.low_point_m, 2.0F);
    const Field<float> depth = fill_depth(stage, catchments, z, 3.5);
    const std::array<float, 8> expected{0, 0, 0, 2.5F, 0.5F, 3.5F, 0, 0};
    for (std::size_t c = 0; c < 8; ++c) EXPECT_EQ(depth(1, static_cast<std::int32_t>(c)), expected[c]) << c;
    const Field<float> under = fill_stage(stage, catchments, z);
    const std::array<float, 8> stages{8, 4, 4, 3, 3, 0, 5, 5};
    for (std::size_t c = 0; c < 8; ++c) EXPECT_EQ(under(1, static_cast<std::int32_t>(c)), stages[c]) << c;
}

TEST(Stage, WholeGroundStartsAtItsLowestCell) {
    const Field<float> z = strip();
    const Catchments catchments = find_catchments(grid_over(z), z);
    const Stage stage = stage_above_low_point(z, catchments);
    EXPECT_EQ(stage.low_cell, 15U);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 13), 6.0F)
        << "over the pass of 7, through ground and not the outside";
}

// A field on a slope: its low point isn't a pit, and the ground below it is under from the start.
TEST(Stage, GroundBelowTheFieldIsUnderFromTheStart) {
    const Field<float> z = test::plane(6, 30, 30.0, 1.0, 0.0);
    const Catchments catchments = find_catchments(grid_over(z), z);
    const std::array<std::uint32_t, 4> field{65, 66, 67, 68};
    const Stage stage = stage_above_low_point(z, catchments, field);
    EXPECT_EQ(stage.low_cell, 68U);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 75), 0.0F);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 60), 8.0F);
    EXPECT_EQ(fill_depth(stage, catchments, z, 0.5)[75], 7.5F);
}

TEST(Stage, EveryEqualLowestCellIsALowPoint) {
    const Field<float> z = grid_of({{9, 9, 9, 9, 9}, {9, 1, 8, 1, 9}, {9, 9, 9, 9, 9}});
    const Catchments catchments = find_catchments(grid_over(z), z);
    const std::array<std::uint32_t, 2> field{8, 6};
    const Stage stage = stage_above_low_point(z, catchments, field);
    EXPECT_EQ(stage.low_cell, 6U);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 8), 0.0F);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 7), 7.0F);
    const std::array<std::uint32_t, 1> one{6};
    EXPECT_EQ(fill_stage_of(stage_above_low_point(z, catchments, one), catchments, z, 8), 7.0F);
}

TEST(Stage, GroundThatIsCutOffNeverGoesUnder) {
    const Field<float> z = grid_of({{1, 2, kNaN, 3}, {4, 5, kNaN, 0}});
    const Catchments catchments = find_catchments(grid_over(z), z);
    const std::array<std::uint32_t, 3> field{0, 1, 2};
    const Stage stage = stage_above_low_point(z, catchments, field);
    EXPECT_EQ(fill_stage_of(stage, catchments, z, 7), std::numeric_limits<float>::infinity());
    EXPECT_TRUE(std::isnan(fill_stage_of(stage, catchments, z, 2)));
    const Field<float> under = fill_stage(stage, catchments, z);
    EXPECT_TRUE(std::isnan(under[7]) && std::isnan(under[2]));
    const Field<float> depth = fill_depth(stage, catchments, z, 100.0);
    EXPECT_EQ(depth[7], 0.0F);
    EXPECT_EQ(depth[5], 96.0F);
    EXPECT_TRUE(std::isnan(depth[2]));
}

TEST(Stage, RefusesGroundWithoutElevation) {
    const Field<float> z = grid_of({{1, kNaN}, {4, kNaN}});
    const Catchments catchments = find_catchments(grid_over(z), z);
    const std::array<std::uint32_t, 2> field{1, 3};
    EXPECT_THROW(stage_above_low_point(z, catchments, field), InputError);
    const Field<float> nothing(3, 3, kNaN);
    const Catchments none = find_catchments(grid_over(nothing), nothing);
    EXPECT_THROW(stage_above_low_point(nothing, none), InputError);
}

/// Lowest highest cell over any path between two cells, for every pair at once: Floyd & Warshall's recursion
/// with (min, max) in place of (min, +). Straight from the definition, for small grids.
std::vector<std::vector<float>> minimax_between_all(const Field<float>& z) {
    constexpr float never = std::numeric_limits<float>::infinity();
    const std::size_t n = z.size();
    std::vector<std::vector<float>> level(n, std::vector<float>(n, never));
    for (std::size_t i = 0; i < n; ++i) {
        if (std::isnan(z[i])) continue;
        level[i][i] = z[i];
        for_each_neighbour(i, z.rows(), z.cols(), [&](std::size_t j) {
            if (!std::isnan(z[j])) level[i][j] = std::max(z[i], z[j]);
        });
    }
    for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t j = 0; j < n; ++j) {
                level[i][j] = std::min(level[i][j], std::max(level[i][k], level[k][j]));
            }
        }
    }
    return level;
}

TEST(Stage, EqualsTheDefinitionOnSmallGrids) {
    std::size_t never = 0;
    for (std::uint32_t seed = 0; seed < 120; ++seed) {
        SCOPED_TRACE(seed);
        Field<float> z = test::noise(9, 8, seed, 6.0F);
        if (seed % 3 != 0) test::quantise(z, seed % 3 == 1 ? 1.0F : 2.0F);
        if (seed % 2 == 1) test::punch(z, 0.25, seed);
        const Catchments catchments = find_catchments(grid_over(z), z);
        const auto level = minimax_between_all(z);
        std::vector<std::uint32_t> field;
        for (std::uint32_t cell = seed % 7; cell < z.size(); cell += 3 + seed % 5) field.push_back(cell);
        const Stage stage = stage_above_low_point(z, catchments, field);
        const Field<float> under = fill_stage(stage, catchments, z);
        for (std::size_t cell = 0; cell < z.size(); ++cell) {
            float expected = std::numeric_limits<float>::infinity();
            for (const std::uint32_t low : field) {
                if (z[low] == stage.low_point_m) expected = std::min(expected, level[low][cell]);
            }
            never += std::isinf(expected) && !std::isnan(z[cell]) ? 1 : 0;
            if (std::isinf(expected)) {
                ASSERT_TRUE(std::isnan(under[cell]));
            } else {
                ASSERT_EQ(under[cell], expected - stage.low_point_m) << "cell " << cell;
            }
        }
    }
    EXPECT_GT(never, 0U) << "cut-off ground must occur in the trial";
}

TEST(Stage, TurnsWithTheRaster) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        if (ground.name == "nothing") continue;
        SCOPED_TRACE(ground.name);
        const auto stage_of = [](const Field<float>& z) {
            const Catchments catchments = find_catchments(grid_over(z), z);
            return fill_stage(stage_above_low_point(z, catchments), catchments, z);
        };
        const Field<float> straight = stage_of(ground.z);
        for (int way = 1; way < 8; ++way) {
            EXPECT_TRUE(test::same(stage_of(test::turned(ground.z, way)), test::turned(straight, way)));
        }
    }
}

}  // namespace
}  // namespace lielow
