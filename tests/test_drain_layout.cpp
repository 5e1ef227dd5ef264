// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_layout.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "sim/drain_spacing.hpp"
#include "sim/water_table.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;
constexpr double k_m_s = 0.5 / day;
const Grid kGrid{5, 20, 2.0, 2.0};

Soil even_soil(double floor_depth) {
    return {Field<float>(5, 20, static_cast<float>(k_m_s)), Field<float>(5, 20, 0.06F),
            Field<float>(5, 20, static_cast<float>(floor_depth))};
}

DrainLine along_row(int row, double depth) {
    DrainLine line;
    line.depth_m = depth;
    line.lines = {{{0, 2.0 * row + 1}, {40, 2.0 * row + 1}}};
    return line;
}

double sum(const Field<float>& values) {
    double all = 0;
    for (const float v : values.all()) all += static_cast<double>(v);
    return all;
}

TEST(DrainLayout, NoLinesLeaveTheDrainsEmpty) {
    GroundDrains drains;
    lay_lines(kGrid, even_soil(3), {}, drains);
    EXPECT_TRUE(drains.drain_depth_m.empty());
}

// π K/ln(D/(π r)) for each metre (Ernst 1962), 40 m of pipe 2 m above the layer, radius 5 cm.
TEST(DrainLayout, APipeDrawsByItsLength) {
    const DrainLine pipe = along_row(2, 1.0);
    GroundDrains drains;
    lay_lines(kGrid, even_soil(3), {&pipe, 1}, drains);
    const double whole = 40 * std::numbers::pi * k_m_s / std::log(2.0 / (std::numbers::pi * 0.05));
    EXPECT_NEAR(sum(drains.linear_m2_s), whole, 1e-6 * whole);
    for (int col = 0; col < 20; ++col) {
        EXPECT_FLOAT_EQ(drains.drain_depth_m(2, col), 1.0F);
        EXPECT_TRUE(std::isnan(drains.drain_depth_m(1, col)));
        EXPECT_TRUE(std::isnan(drains.ditch_depth_m(2, col)));
    }
}

TEST(DrainLayout, AtMostAQuarterOfTheSpacingConverges) {
    DrainLine pipe = along_row(2, 1.0);
    pipe.spacing_m = 6;
    GroundDrains drains;
    lay_lines(kGrid, even_soil(3), {&pipe, 1}, drains);
    const double whole = 40 * std::numbers::pi * k_m_s / std::log(1.5 / (std::numbers::pi * 0.05));
    EXPECT_NEAR(sum(drains.linear_m2_s), whole, 1e-6 * whole);
}

TEST(DrainLayout, DitchesAndPipesOnTheLayerHoldTheirLevel) {
    DrainLine ditch = along_row(1, 0.8);
    ditch.ditch = true;
    const DrainLine on_layer = along_row(3, 5.0);  // deeper than the layer lies
    const std::vector<DrainLine> lines{ditch, on_layer};
    GroundDrains drains;
    lay_lines(kGrid, even_soil(3), lines, drains);
    EXPECT_FLOAT_EQ(drains.ditch_depth_m(1, 7), 0.8F);
    EXPECT_FLOAT_EQ(drains.ditch_depth_m(3, 7), 3.0F);
    EXPECT_EQ(sum(drains.linear_m2_s), 0);
}

TEST(DrainLayout, WhereLinesMeetConductancesAddAndTheDeeperCounts) {
    const std::vector<DrainLine> lines{along_row(2, 1.0), along_row(2, 1.5)};
    GroundDrains both;
    lay_lines(kGrid, even_soil(3), lines, both);
    GroundDrains one;
    GroundDrains other;
    lay_lines(kGrid, even_soil(3), {&lines[0], 1}, one);
    lay_lines(kGrid, even_soil(3), {&lines[1], 1}, other);
    EXPECT_FLOAT_EQ(both.drain_depth_m(2, 5), 1.5F);
    EXPECT_FLOAT_EQ(both.linear_m2_s(2, 5), one.linear_m2_s(2, 5) + other.linear_m2_s(2, 5));
}

// A field drained by a pattern gives off Hooghoudt's discharge; with steady rain of that rate the table of
// ground that is the same everywhere stands at Hooghoudt's height.
TEST(DrainLayout, APatternHoldsTheTableWhereHooghoudtSays) {
    const Soil soil = even_soil(4);
    std::vector<std::uint32_t> cells(kGrid.cells());
    for (std::uint32_t c = 0; c < cells.size(); ++c) cells[c] = c;
    const std::vector<float> share(cells.size(), 1.0F);
    GroundDrains drains;
    lay_pattern(kGrid, soil, cells, share, 1.0, 25, 0.05, drains);
    const double q = hooghoudt_discharge({k_m_s, 0, 0.06, 3.0, 0.05}, 25, 0.4);
    WaterTable table(kGrid, Field<float>(5, 20, 10.0F), soil, drains);
    ASSERT_TRUE(table.settle(q).settled);
    for (const double s : table.thickness_m()) EXPECT_NEAR(s, 3.4, 1e-5);
}

TEST(DrainLayout, CellsWithADrawnPipeKeepIt) {
    const DrainLine pipe = along_row(2, 1.5);
    GroundDrains drains;
    lay_lines(kGrid, even_soil(4), {&pipe, 1}, drains);
    const float drawn = drains.linear_m2_s(2, 5);
    const std::vector<std::uint32_t> cells{static_cast<std::uint32_t>(kGrid.index(2, 5)),
                                           static_cast<std::uint32_t>(kGrid.index(3, 5))};
    const std::vector<float> share{1.0F, 0.5F};
    lay_pattern(kGrid, even_soil(4), cells, share, 1.0, 25, 0.05, drains);
    EXPECT_EQ(drains.linear_m2_s(2, 5), drawn);
    EXPECT_FLOAT_EQ(drains.drain_depth_m(2, 5), 1.5F);
    const double half = 0.5 * 8 * k_m_s * equivalent_depth(3.0, 25, 0.05) * 4 / (25 * 25);
    EXPECT_NEAR(drains.linear_m2_s(3, 5), half, 1e-6 * half);
}

}  // namespace
}  // namespace lielow
