// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <numbers>
#include <string>

#include "sim/hollows.hpp"
#include "sim/neighbours.hpp"
#include "sim/priority_flood.hpp"
#include "tests/support/flood.hpp"

namespace lielow {
namespace {

using test::grid_of;
using test::grid_over;

Hollows hollows_of(const Field<float>& z, double cell_size = 1.0) {
    const Grid grid = grid_over(z, cell_size);
    return find_hollows(grid, z, find_catchments(grid, z));
}

// Three pits A (4), B (3), C (2) in a strip between walls, open at its right end. By hand: filled strip
// 10 7 7 7 7 7 7 1, so 3 + 1 + 4 + 2 + 5 = 15 of water.
TEST(Hollows, StripOfThreePitsIsOneHollowWhenFull) {
    const Field<float> z = grid_of({{100, 100, 100, 100, 100, 100, 100, 100},
                                    {10, 4, 6, 3, 5, 2, 7, 1},
                                    {100, 100, 100, 100, 100, 100, 100, 100}});
    const Hollows found = hollows_of(z);
    ASSERT_EQ(found.list.size(), 1U);
    EXPECT_DOUBLE_EQ(found.list[0].volume_m3, 15.0);
    EXPECT_DOUBLE_EQ(found.list[0].area_m2, 5.0);
    EXPECT_DOUBLE_EQ(found.list[0].depth_m, 5.0);
    EXPECT_EQ(found.list[0].spill_level_m, 7.0F);
    EXPECT_EQ(found.list[0].spill_cell, 14U);
    EXPECT_EQ(found.list[0].pit_cell, 13U);
    EXPECT_EQ(found.list[0].cells, 5U);
}

// Worked by hand: both pits fill to 8 and join over the tied pass of 7; 34 of water.
TEST(Hollows, TwoPitPlot) {
    const Field<float> z = grid_of({{9, 9, 9, 9, 9, 9, 9},
                                    {9, 5, 6, 7, 3, 8, 9},
                                    {9, 4, 6, 7, 2, 8, 9},
                                    {9, 5, 6, 7, 4, 8, 9},
                                    {9, 9, 9, 9, 9, 8, 7.5F},
                                    {9, 9, 9, 9, 9, 9, 9}});
    const Hollows found = hollows_of(z, 3.0);
    ASSERT_EQ(found.list.size(), 1U);
    EXPECT_DOUBLE_EQ(found.list[0].volume_m3, 34.0 * 9.0);
    EXPECT_DOUBLE_EQ(found.list[0].area_m2, 12.0 * 9.0);
    EXPECT_EQ(found.list[0].spill_level_m, 8.0F);
    EXPECT_EQ(z[found.list[0].spill_cell], 8.0F);
    EXPECT_EQ(found.list[0].pit_cell, 18U);
}

TEST(Hollows, WaterThatOnlyTouchesAtAPassIsTwoHollows) {
    const Field<float> z = grid_of({{9, 9, 9, 9, 9, 9}, {9, 1, 5, 2, 5, 0}, {9, 9, 9, 9, 9, 9}});
    const Hollows found = hollows_of(z);
    ASSERT_EQ(found.list.size(), 2U);
    EXPECT_EQ(found.list[0].pit_cell, 7U);
    EXPECT_EQ(found.list[0].spill_cell, 8U) << "the upper one runs into the lower one";
    EXPECT_EQ(found.list[1].pit_cell, 9U);
    EXPECT_EQ(found.list[1].spill_cell, 10U) << "the lower one runs out, not back";
}

TEST(Hollows, TheEdgeAndTheRimOfANaNDrain) {
    Field<float> z = test::bowl(41, 41, 0.0, 8.0);
    ASSERT_EQ(hollows_of(z).list.size(), 1U);
    EXPECT_EQ(hollows_of(z).list[0].spill_level_m, z(0, 20));
    z(20, 24) = test::kNaN;
    ASSERT_EQ(hollows_of(z).list.size(), 1U);
    EXPECT_EQ(hollows_of(z).list[0].spill_level_m, z(20, 23));
    EXPECT_EQ(hollows_of(z).list[0].spill_cell, 20U * 41U + 23U);
    EXPECT_TRUE(hollows_of(test::plane(20, 20, 100, 0.1, 0.2)).list.empty());
    EXPECT_TRUE(hollows_of(Field<float>(20, 20, 3.0F)).list.empty());
    EXPECT_TRUE(hollows_of(Field<float>(1, 1, 3.0F)).list.empty());
    EXPECT_TRUE(hollows_of(Field<float>(4, 4, test::kNaN)).list.empty());
}

TEST(Hollows, DepthIsNothingWhereTheGroundHasNoValue) {
    Field<float> z = test::bowl(9, 9, 0.0, 8.0);
    z(0, 0) = test::kNaN;
    const Catchments catchments = find_catchments(grid_over(z), z);
    const Field<float> depth = hollow_depth(z, catchments, find_hollows(grid_over(z), z, catchments));
    EXPECT_TRUE(std::isnan(depth(0, 0)));
    EXPECT_EQ(depth(0, 4), 0.0F);
    EXPECT_EQ(depth(4, 4), z(0, 4) - z(4, 4));
}

/// Patches of cells below the filled surface (eight neighbours), each as the list of its cells.
std::vector<std::vector<std::size_t>> patches_under_water(const Field<float>& z, const Field<float>& water) {
    std::vector<std::vector<std::size_t>> patches;
    std::vector<std::uint8_t> seen(z.size(), 0);
    for (std::size_t start = 0; start < z.size(); ++start) {
        if (seen[start] != 0 || !(z[start] < water[start])) continue;
        std::vector<std::size_t> patch{start};
        seen[start] = 1;
        for (std::size_t k = 0; k < patch.size(); ++k) {
            for_each_neighbour(patch[k], z.rows(), z.cols(), [&](std::size_t n) {
                if (seen[n] != 0 || !(z[n] < water[n])) return;
                seen[n] = 1;
                patch.push_back(n);
            });
        }
        patches.push_back(std::move(patch));
    }
    return patches;
}

// The table against patches grown cell by cell over the published fill.
TEST(Hollows, TableEqualsPatchesOfThePublishedFill) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Field<float>& z = ground.z;
        const Catchments catchments = find_catchments(grid_over(z), z);
        const Hollows found = find_hollows(grid_over(z), z, catchments);
        const Field<float> water = priority_flood(z);
        const auto patches = patches_under_water(z, water);
        ASSERT_EQ(patches.size(), found.list.size());
        for (const auto& patch : patches) {
            const auto c = static_cast<std::size_t>(catchments.of_cell[patch.front()]);
            const Hollow& hollow = found.list[static_cast<std::size_t>(found.hollow_of_catchment[c])];
            double volume = 0;
            float deepest = 0;
            for (const std::size_t cell : patch) {
                volume += static_cast<double>(water[cell]) - static_cast<double>(z[cell]);
                deepest = std::max(deepest, water[cell] - z[cell]);
            }
            ASSERT_EQ(hollow.cells, patch.size());
            ASSERT_NEAR(hollow.volume_m3, volume, 1e-12 * volume);
            ASSERT_EQ(static_cast<float>(hollow.depth_m), deepest);
            ASSERT_EQ(hollow.spill_level_m, water[patch.front()]);
            ASSERT_EQ(z[hollow.spill_cell], hollow.spill_level_m);
        }
    }
}

// Without ties the spill cell lies beside the water it lets out.
TEST(Hollows, SpillCellLiesBesideTheWater) {
    for (const std::uint32_t seed : {21U, 22U}) {
        const Field<float> z = seed == 21U ? test::fractal(300, 300, seed) : test::noise(120, 120, seed);
        const Catchments catchments = find_catchments(grid_over(z), z);
        const Hollows found = find_hollows(grid_over(z), z, catchments);
        ASSERT_GT(found.list.size(), 20U);
        for (std::size_t h = 0; h < found.list.size(); ++h) {
            int wet = 0;
            for_each_neighbour(found.list[h].spill_cell, z.rows(), z.cols(), [&](std::size_t n) {
                const auto c = static_cast<std::size_t>(catchments.of_cell[n]);
                const bool ours = found.hollow_of_catchment[c] == static_cast<std::int32_t>(h);
                wet += ours && z[n] < found.list[h].spill_level_m ? 1 : 0;
            });
            ASSERT_GT(wet, 0);
        }
    }
}

TEST(Hollows, ListFallsByVolume) {
    const Hollows found = hollows_of(test::noise(200, 200, 31));
    EXPECT_TRUE(std::ranges::is_sorted(found.list, [](const Hollow& p, const Hollow& q) {
        return p.volume_m3 > q.volume_m3 || (p.volume_m3 == q.volume_m3 && p.pit_cell < q.pit_cell);
    }));
}

// Volumes of water in round basins cut off at depth d = 0.3 m by level ground (exact integrals, worked by
// hand): paraboloid z = h0 (r/a)², V = π a² d² / (2 h0); cone of top radius R, V = π R² d / 3.
struct Basin {
    const char* name;
    double volume;
    double area;
    double (*height)(double radius);
};

/// Relative errors of volume and area, root mean square over nine places of the centre within a cell: a
/// single place can be right by luck.
struct Errors {
    double volume = 0;
    double area = 0;
};

Errors errors_on(const Basin& basin, double cell_size) {
    const auto side = static_cast<std::int32_t>(std::lround(72.0 / cell_size));
    Errors sum;
    for (int place = 0; place < 9; ++place) {
        const double x0 = 36.0 + cell_size * (0.07 + (place % 3) / 3.0);
        const double y0 = 36.0 + cell_size * (0.21 + (place / 3) / 3.0);
        const Field<float> z = test::from_function(
            {side, side, cell_size, cell_size},
            [&](double x, double y) { return std::min(0.3, basin.height(std::hypot(x - x0, y - y0))); });
        const Hollows found = hollows_of(z, cell_size);
        if (found.list.size() != 1) return {1.0, 1.0};
        sum.volume += std::pow(found.list[0].volume_m3 / basin.volume - 1.0, 2) / 9.0;
        sum.area += std::pow(found.list[0].area_m2 / basin.area - 1.0, 2) / 9.0;
    }
    return {std::sqrt(sum.volume), std::sqrt(sum.area)};
}

// Midpoint sums: the error of the volume falls at least with the square of the cell size, that of the area at
// least with its first power (it is decided cell by cell along the shore). Errors and orders go into the
// test's record.
TEST(Hollows, VolumesOfRoundBasinsConverge) {
    constexpr double pi = std::numbers::pi;
    const Basin paraboloid{"paraboloid", pi * 50 * 50 * 0.09 / 2, pi * 50 * 50 * 0.3,
                           [](double r) { return r * r / (50.0 * 50.0); }};
    const Basin cone{"cone", pi * 15 * 15 * 0.3 / 3, pi * 15 * 15, [](double r) { return 0.3 * r / 15.0; }};
    for (const Basin& basin : {paraboloid, cone}) {
        SCOPED_TRACE(basin.name);
        const Errors coarse = errors_on(basin, 4.0);
        const Errors middle = errors_on(basin, 1.0);
        const Errors fine = errors_on(basin, 0.25);
        const double volume_order = std::log(coarse.volume / fine.volume) / std::log(16.0);
        const double area_order = std::log(coarse.area / fine.area) / std::log(16.0);
        const auto record = [&](const char* what, double value) {
            RecordProperty(std::string(basin.name) + "_" + what, std::to_string(value));
        };
        record("volume_error_4m", coarse.volume);
        record("volume_error_1m", middle.volume);
        record("volume_error_0.25m", fine.volume);
        record("volume_order", volume_order);
        record("area_order", area_order);
        EXPECT_GT(volume_order, 2.0);
        EXPECT_GT(area_order, 1.0);
        EXPECT_LT(coarse.volume, 1e-2);
        EXPECT_LT(middle.volume, 1e-3);
        EXPECT_LT(fine.volume, 1e-5);
        EXPECT_LT(fine.area, 1e-3);
    }
}

// A wedge of water against a wall: bed rising 1 in 100, 0.3 m deep at the wall, 100 m wide: W d² / (2 s) =
// 450 m³ over 30 m. Midpoint sums are exact on a plane, so only the rounding of z to float is left.
TEST(Hollows, WedgeAgainstAWall) {
    const Field<float> z = test::from_function({110, 50}, [](double x, double y) {
        const bool bed = y >= 5 && y < 105 && x >= 5;
        return bed ? std::min(0.3, 0.01 * (x - 5 + 0.5)) : 10.0;
    });
    const Hollows found = hollows_of(z);
    ASSERT_EQ(found.list.size(), 1U);
    EXPECT_NEAR(found.list[0].volume_m3, 450.0, 450.0 * 1e-6);
    EXPECT_DOUBLE_EQ(found.list[0].area_m2, 3000.0);
}

// Σ(level − z) is taken in double and never as N·level − Σz: 4 cm of water over a million cells at 3 000 m.
TEST(Hollows, ShallowWaterHighUpLosesNothing) {
    Field<float> z(1002, 1002, 3000.0F);
    for (std::int32_t r = 1; r < 1001; ++r) {
        for (std::int32_t c = 1; c < 1001; ++c) z(r, c) = 2999.9609375F;
    }
    const Hollows found = hollows_of(z);
    ASSERT_EQ(found.list.size(), 1U);
    EXPECT_DOUBLE_EQ(found.list[0].volume_m3, 39062.5);
}

}  // namespace
}  // namespace lielow
