// SPDX-License-Identifier: Apache-2.0
#include "sim/nested_hollows.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <array>
#include <cmath>
#include <numeric>

#include "sim/errors.hpp"
#include "sim/filling_rain.hpp"
#include "sim/hollows.hpp"
#include "sim/storm_fill.hpp"
#include "tests/support/flood.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using test::grid_of;
using test::grid_over;

/// Ground with all that is made of it.
struct Nested {
    Field<float> z;
    Grid grid;
    Catchments catchments;
    NestedHollows hollows;

    explicit Nested(Field<float> ground, double cell_size = 1.0)
        : z(std::move(ground)),
          grid(grid_over(z, cell_size)),
          catchments(find_catchments(grid, z)),
          hollows(nest_hollows(grid, z, catchments)) {}

    [[nodiscard]] StormPonds after(double runoff_m) const {
        return fill_from_runoff(hollows, runoff_by_catchment(hollows, runoff_m));
    }
    [[nodiscard]] double level_at(const StormPonds& ponds, std::size_t cell) const {
        return ponds.level_of_catchment[static_cast<std::size_t>(catchments.of_cell[cell])];
    }
};

// Hollows A (4), B (3), C (2) in a strip between walls, open at its right end, rain on the strip alone.
// Worked by hand and checked by moving parcels of water one by one.
class Strip : public testing::Test {
  protected:
    Strip()
        : nested(grid_of({{100, 100, 100, 100, 100, 100, 100, 100},
                          {10, 4, 6, 3, 5, 2, 7, 1},
                          {100, 100, 100, 100, 100, 100, 100, 100}})) {}
    StormPonds after(float runoff_m) {
        Field<float> runoff(3, 8, 0.0F);
        for (float& depth : runoff.row(1)) depth = runoff_m;
        return fill_from_runoff(nested.hollows, runoff_by_catchment(nested.grid, nested.catchments, runoff));
    }
    Nested nested;
    static constexpr std::size_t a = 9, b = 11, c = 13;
};

TEST_F(Strip, CapacitiesAndSpills) {
    const NestedHollows& h = nested.hollows;
    const auto at = [&](std::size_t cell) { return nested.catchments.of_cell[cell]; };
    const auto node = [&](std::int32_t i) { return h.list[static_cast<std::size_t>(i)]; };
    const std::vector<double> capacity = capacities_m3(h);
    EXPECT_NEAR(capacity[static_cast<std::size_t>(at(a))], 2, 1e-12);
    EXPECT_NEAR(capacity[static_cast<std::size_t>(at(b))], 2, 1e-12);
    EXPECT_NEAR(capacity[static_cast<std::size_t>(at(c))], 3, 1e-12);
    EXPECT_EQ(node(at(b)).spill_level_m, 5);
    EXPECT_EQ(node(at(b)).spills_to, at(c));
    EXPECT_EQ(node(at(c)).spills_to, at(b));
    EXPECT_EQ(node(at(a)).spill_level_m, 6);
    EXPECT_EQ(node(at(a)).spills_to, at(b));
    const std::int32_t bc = node(at(b)).within;
    EXPECT_EQ(bc, node(at(c)).within);
    EXPECT_NEAR(capacity[static_cast<std::size_t>(bc)], 8, 1e-12);
    EXPECT_EQ(node(bc).spill_level_m, 6);
    EXPECT_EQ(node(bc).spills_to, at(a));
    EXPECT_EQ(node(bc).spill_cell, 10U);
    const std::int32_t abc = node(bc).within;
    EXPECT_EQ(abc, node(at(a)).within);
    EXPECT_NEAR(capacity[static_cast<std::size_t>(abc)], 15, 1e-12);
    EXPECT_EQ(node(abc).spill_level_m, 7);
    EXPECT_EQ(node(abc).spill_cell, 14U);
    EXPECT_EQ(node(abc).within, -1);
    EXPECT_EQ(node(abc).cells, 5U);
}

TEST_F(Strip, FillsAndSpills) {
    struct Row {
        float runoff;
        std::array<double, 3> level;
        double ponded;
        double left;
    };
    // In the last row 24 fall in all; 6 of the 9 that leave never met a hollow.
    for (const Row& row : {Row{1.0F, {6, 5, 4}, 6, 2}, Row{1.5F, {6, 17.0 / 3, 17.0 / 3}, 9, 3},
                           Row{2.0F, {6.4, 6.4, 6.4}, 12, 4}, Row{3.0F, {7, 7, 7}, 15, 9}}) {
        SCOPED_TRACE(row.runoff);
        const StormPonds ponds = after(row.runoff);
        EXPECT_NEAR(nested.level_at(ponds, a), row.level[0], 1e-12);
        EXPECT_NEAR(nested.level_at(ponds, b), row.level[1], 1e-12);
        EXPECT_NEAR(nested.level_at(ponds, c), row.level[2], 1e-12);
        EXPECT_NEAR(ponds.ponded_m3, row.ponded, 1e-12);
        EXPECT_NEAR(ponds.left_ground_m3, row.left, 1e-12);
    }
}

// Both pits fill to 8 and join over the tied pass of 7: worked by hand.
TEST(NestedHollows, TwoPitPlotHasATiedPassAndOneAnswer) {
    const Field<float> plot = grid_of({{9, 9, 9, 9, 9, 9, 9},
                                       {9, 5, 6, 7, 3, 8, 9},
                                       {9, 4, 6, 7, 2, 8, 9},
                                       {9, 5, 6, 7, 4, 8, 9},
                                       {9, 9, 9, 9, 9, 8, 7.5F},
                                       {9, 9, 9, 9, 9, 9, 9}});
    for (int way = 0; way < 8; ++way) {
        SCOPED_TRACE(way);
        const Nested nested(test::turned(plot, way));
        const auto capacity = capacities_m3(nested.hollows);
        std::vector<double> held;
        for (std::size_t i = 0; i < nested.hollows.list.size(); ++i) {
            if (capacity[i] > 0) held.push_back(capacity[i]);
        }
        std::sort(held.begin(), held.end());
        ASSERT_EQ(held.size(), 3U);
        EXPECT_NEAR(held[0], 10, 1e-12);
        EXPECT_NEAR(held[1], 12, 1e-12);
        EXPECT_NEAR(held[2], 34, 1e-12);
        EXPECT_NEAR(nested.after(100).ponded_m3, 34, 1e-12);
    }
}

// Full hollows are those of find_hollows, which are checked against the published fill.
TEST(NestedHollows, WhenFullTheyAreTheHollowsOfTheFill) {
    for (test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Nested nested(std::move(ground.z));
        const Hollows full = find_hollows(nested.grid, nested.z, nested.catchments);
        const std::vector<double> capacity = capacities_m3(nested.hollows);
        const StormPonds ponds = nested.after(1e6);
        for (std::size_t c = 0; c < nested.catchments.pit.size(); ++c) {
            ASSERT_EQ(static_cast<float>(ponds.level_of_catchment[c]), full.level_of_catchment[c]);
            const std::int32_t number = full.hollow_of_catchment[c];
            if (number < 0) continue;
            const auto whole =
                static_cast<std::size_t>(fullest_hollow(nested.hollows, static_cast<std::int32_t>(c)));
            const Hollow& hollow = full.list[static_cast<std::size_t>(number)];
            ASSERT_NEAR(capacity[whole], hollow.volume_m3, 1e-12 * hollow.volume_m3 + 1e-300);
            ASSERT_EQ(nested.hollows.list[whole].cells, hollow.cells);
            ASSERT_EQ(nested.hollows.list[whole].spill_level_m, hollow.spill_level_m);
        }
    }
}

double sum_of(const Field<float>& depth) {
    double sum = 0;
    for (const float d : depth.all()) sum += std::isnan(d) ? 0 : static_cast<double>(d);
    return sum;
}

TEST(StormFill, MassClosesAndLevelsHoldTheVolume) {
    for (test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Nested nested(std::move(ground.z), 2.0);
        for (const double runoff : {0.0, 0.01, 0.07, 0.5, 3.0}) {
            const StormPonds ponds = nested.after(runoff);
            const auto water = runoff_by_catchment(nested.hollows, runoff);
            const double fallen = std::accumulate(water.begin(), water.end(), 0.0);
            ASSERT_NEAR(ponds.ponded_m3 + ponds.left_ground_m3, fallen, 1e-12 * fallen);
            ASSERT_GE(ponds.left_ground_m3, 0);
            // Depths are single precision.
            const double held = sum_of(pond_depth(nested.z, nested.catchments, ponds)) * 4.0;
            ASSERT_NEAR(held, ponds.ponded_m3, 1e-6 * ponds.ponded_m3);
        }
    }
}

// The storm that fills a hollow, by following the rising water, against storms poured one by one.
TEST(FillingRain, AgreesWithStormsOneByOne) {
    for (test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Nested nested(std::move(ground.z));
        const FillingRain rain = rain_that_fills(nested.hollows);
        const std::vector<double> storms{0.0, 0.003, 0.02, 0.1, 0.4, 2.0, 50.0};
        const std::vector<double> ponded = ponded_after(rain, storms);
        for (std::size_t s = 0; s < storms.size(); ++s) {
            const StormPonds ponds = nested.after(storms[s]);
            ASSERT_NEAR(ponded[s], ponds.ponded_m3, 1e-10 * ponds.ponded_m3);
            for (std::size_t c = 0; c < nested.catchments.pit.size(); ++c) {
                const auto whole =
                    static_cast<std::size_t>(fullest_hollow(nested.hollows, static_cast<std::int32_t>(c)));
                const double level = ponds.level_of_catchment[c];
                const bool full = level >= static_cast<double>(nested.hollows.list[whole].spill_level_m);
                if (std::abs(rain.of_hollow[whole] - storms[s]) < 1e-9 * storms[s]) continue;
                if (nested.hollows.list[whole].cells == 0) continue;
                ASSERT_EQ(full, rain.of_hollow[whole] < storms[s]) << c;
            }
        }
    }
}

TEST(FillingRain, OfTheWalledStrip) {
    // Rain on all 24 cells; the walls' 16 drain into the strip. Catchments: A 2 cells and the walls' beside
    // them. Capacities as in Strip.
    const Nested nested(grid_of({{100, 100, 100, 100, 100, 100, 100, 100},
                                 {10, 4, 6, 3, 5, 2, 7, 1},
                                 {100, 100, 100, 100, 100, 100, 100, 100}}));
    const FillingRain rain = rain_that_fills(nested.hollows);
    const auto of = [&](std::size_t cell) {
        return static_cast<std::size_t>(nested.catchments.of_cell[cell]);
    };
    const auto cells = [&](std::size_t cell) {
        return static_cast<double>(nested.hollows.catchment_cells[of(cell)]);
    };
    EXPECT_DOUBLE_EQ(rain.of_hollow[of(9)], 2.0 / cells(9));
    EXPECT_DOUBLE_EQ(rain.of_hollow[of(11)], 2.0 / cells(11));
    const auto whole = static_cast<std::size_t>(fullest_hollow(nested.hollows, nested.catchments.of_cell[9]));
    EXPECT_NEAR(rain.of_hollow[whole], 15.0 / (cells(9) + cells(11) + cells(13)), 1e-12);
}

TEST(StormFill, BitsDoNotDependOnThreads) {
    const int before = omp_get_max_threads();
    std::vector<Field<float>> depths;
    std::vector<double> ponded;
    for (const int threads : {1, 2, 5}) {
        omp_set_num_threads(threads);
        const Nested nested(test::noise(400, 300, 5));
        const StormPonds ponds = nested.after(0.05);
        depths.push_back(pond_depth(nested.z, nested.catchments, ponds));
        ponded.push_back(ponds.ponded_m3);
    }
    omp_set_num_threads(before);
    EXPECT_TRUE(test::same(depths[0], depths[1]));
    EXPECT_TRUE(test::same(depths[0], depths[2]));
    EXPECT_EQ(ponded[0], ponded[1]);
    EXPECT_EQ(ponded[0], ponded[2]);
}

// On smooth ground without equal heights nothing is left to choose: the picture turns with the raster, but
// for rounding. (A cell from which the ground falls away on three sides is a tie of its own.)
TEST(StormFill, TurnsWithTheRasterWhereNothingIsTied) {
    const Field<float> z = test::from_function({120, 90}, [](double x, double y) {
        return 20 + std::sin(0.31 * x + 0.11 * y) + std::cos(0.29 * y - 0.07 * x) +
               0.4 * std::sin(0.17 * x - 0.23 * y);
    });
    const Nested nested(z.clone());
    for (const double runoff : {0.05, 0.2}) {
        const Field<float> depth = pond_depth(z, nested.catchments, nested.after(runoff));
        for (int way = 1; way < 8; ++way) {
            const Nested other(test::turned(z, way));
            const Field<float> turned = pond_depth(other.z, other.catchments, other.after(runoff));
            const Field<float> expected = test::turned(depth, way);
            for (std::size_t cell = 0; cell < expected.size(); ++cell)
                ASSERT_NEAR(turned[cell], expected[cell], 1e-6);
        }
    }
}

/// Largest relative change of the water on the ground when the raster is laid down in eight ways.
double moved_by_ties(double step, double runoff) {
    Field<float> z = test::fractal(300, 290, 4);
    test::quantise(z, static_cast<float>(step));
    const double ponded = Nested(z.clone()).after(runoff).ponded_m3;
    double most = 0;
    for (int way = 1; way < 8; ++way)
        most = std::max(most, std::abs(Nested(test::turned(z, way)).after(runoff).ponded_m3 / ponded - 1));
    return most;
}

// Equal heights leave a choice: which way level ground drains, and which way a full hollow runs over first.
// How much water hangs on it, by laying the raster down in eight ways; the water that fills everything
// doesn't move.
TEST(StormFill, WhatHangsOnTies) {
    const double fine = moved_by_ties(0.01, 0.07);
    const double coarse = moved_by_ties(0.1, 0.07);
    RecordProperty("moved_by_ties_at_1_cm", std::to_string(fine));
    RecordProperty("moved_by_ties_at_10_cm", std::to_string(coarse));
    EXPECT_LT(fine, 0.02);
    EXPECT_LT(fine, coarse);
    EXPECT_LT(moved_by_ties(1.0, 1e5), 1e-9);
}

TEST(StormFill, ShallowWaterHighUpLosesNothing) {
    Field<float> z(402, 402, 3000.0F);
    for (std::int32_t r = 1; r < 401; ++r) {
        for (std::int32_t c = 1; c < 401; ++c) z(r, c) = 2999.9609375F;
    }
    const Nested nested(std::move(z));
    const StormPonds ponds = nested.after(0.01);
    const double rim_share = 402.0 * 402.0 / (400.0 * 400.0);  // the rim, too, drains inward
    EXPECT_NEAR(nested.level_at(ponds, 402 * 200 + 200), 2999.9609375 + 0.01 * rim_share, 1e-11);
    EXPECT_NEAR(nested.after(1).ponded_m3, 160000 * 0.0390625, 1e-9);
}

// A full basin's volume under independent errors of the heights, over many draws, against A σ √(1 + 1/n). The
// brim is one cell in a high wall, so that which cell is lowest doesn't hang on the draw.
TEST(StormFill, VolumeErrorOfAFullBasin) {
    Field<float> z(12, 12, 50.0F);
    for (std::int32_t r = 1; r < 11; ++r) {
        for (std::int32_t c = 1; c < 11; ++c) z(r, c) = 10.0F;
    }
    z(0, 5) = 13.0F;
    constexpr double sigma = 0.15;
    std::mt19937 engine(11);
    const auto normal = [&] {  // Irwin–Hall: the sum of twelve draws has variance 1
        double sum = -6;
        for (int i = 0; i < 12; ++i) sum += static_cast<double>(test::unit_draw(engine));
        return sum;
    };
    constexpr int draws = 2000;
    double sum = 0;
    double squares = 0;
    for (int draw = 0; draw < draws; ++draw) {
        Field<float> drawn = z.clone();
        for (float& value : drawn.all()) value += static_cast<float>(sigma * normal());
        const double volume = Nested(std::move(drawn)).after(1e3).ponded_m3;
        sum += volume;
        squares += volume * volume;
    }
    const double deviation = std::sqrt(squares / draws - std::pow(sum / draws, 2));
    const double told = volume_error_m3(Nested(z.clone()).after(1e3), sigma);
    EXPECT_DOUBLE_EQ(told, 100 * sigma);
    EXPECT_NEAR(deviation / told, std::sqrt(1 + 1.0 / 100), 0.05);  // 3 standard errors of 2 000 draws
    EXPECT_EQ(volume_error_m3(Nested(z.clone()).after(0.1), sigma), 0)
        << "not full: it holds what reached it";
}

TEST(StormFill, RefusesNegativeAndUnknownRunoff) {
    const Nested nested(test::bowl(9, 9, 0, 4));
    std::vector<double> runoff(nested.hollows.catchments(), 1.0);
    runoff[0] = -1;
    EXPECT_THROW(fill_from_runoff(nested.hollows, runoff), InputError);
    runoff[0] = test::kNaN;
    EXPECT_THROW(fill_from_runoff(nested.hollows, runoff), InputError);
    EXPECT_THROW(fill_from_runoff(nested.hollows, std::vector<double>{}), InputError);
}

}  // namespace
}  // namespace lielow
