// SPDX-License-Identifier: Apache-2.0
// Lines and areas become drag and raised ground on any cells; fans their heat.
#include "sim/obstacles.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <queue>

#include "support/slope_night.hpp"

namespace lielow {
namespace {

using testing::line_obstacle;

struct Laid {
    Grid grid;
    NightSurface surface;
};

Laid lay(const std::vector<Obstacle>& standing, const Grid& fine, int block) {
    Laid laid{block_grid(fine, {block, block}), {}};
    CanopySum canopy(laid.grid);
    add_standing(standing, fine, {block, block}, canopy, laid.surface);
    canopy.put(laid.surface);
    return laid;
}

/// Whether air that passes from cell to cell through faces gets from the first column to the last past
/// whatever `holds`.
template <class Holds>
bool leaks(const Grid& grid, Holds holds) {
    Field<std::uint8_t> seen(grid.rows, grid.cols, std::uint8_t{0});
    std::queue<std::pair<int, int>> open;
    const auto reach = [&](int j, int i) {
        if (!grid.contains(j, i) || seen(j, i) != 0 || holds(j, i)) return;
        seen(j, i) = 1;
        open.emplace(j, i);
    };
    for (int j = 0; j < grid.rows; ++j) reach(j, 0);
    while (!open.empty()) {
        const auto [j, i] = open.front();
        open.pop();
        if (i + 1 == grid.cols) return true;
        reach(j - 1, i), reach(j + 1, i), reach(j, i - 1), reach(j, i + 1);
    }
    return false;
}

TEST(LineCells, ChainIsTightAndAsLongAsTheLine) {
    const Grid grid{40, 60, 5.0, 7.0};
    for (int turn = 0; turn < 180; turn += 7) {
        // From edge to edge through a kink in the middle.
        const double lean = std::tan((turn - 90) * std::numbers::pi / 200);
        const Polyline line{{150 - 40 * lean, 0.0}, {140, 133}, {150 + 30 * lean, 280}};
        double length = 0;
        Field<std::uint8_t> on(grid.rows, grid.cols, std::uint8_t{0});
        for (const ChainLink& link : line_cells(line, grid)) {
            length += link.to_m - link.from_m;
            on(link.row, link.col) = 1;
        }
        const bool inside = std::abs(40 * lean) < 140;
        if (!inside) continue;
        EXPECT_NEAR(length, std::hypot(10 - 40 * lean, 133.0) + std::hypot(10 + 30 * lean, 147.0), 1e-9)
            << turn;
        EXPECT_FALSE(leaks(grid, [&](int j, int i) { return on(j, i) != 0; })) << turn;
    }
}

TEST(LineCells, OutsideIsLeftOut) {
    const Grid grid{4, 4, 5.0, 5.0};
    EXPECT_TRUE(line_cells({{-20, 3}, {-1, 3}}, grid).empty());
    double length = 0;
    for (const ChainLink& link : line_cells({{-20, 3}, {40, 3}}, grid)) length += link.to_m - link.from_m;
    EXPECT_NEAR(length, 20, 1e-12);
}

TEST(LossCoefficient, AgreesWithOtherLaws) {
    // Hoerner 1965, Fluid-Dynamic Drag (from memory): K = ((3/(2 φ)) − 1)²/2 for round bars, within a fifth.
    for (const double openness : {0.2, 0.35, 0.5, 0.65}) {
        const double hoerner = 0.5 * std::pow(1.5 / openness - 1, 2);
        EXPECT_NEAR(screen_loss_coefficient(openness), hoerner, 0.2 * hoerner) << openness;
    }
    // A fence half open has K = 2 (the fence of Bradley & Mulhearn 1983, J. Wind Eng. Ind. Aerodyn. 15, from
    // memory).
    EXPECT_DOUBLE_EQ(screen_loss_coefficient(0.5), 2.0);
    EXPECT_EQ(screen_loss_coefficient(1), 0.0);
    EXPECT_TRUE(std::isinf(screen_loss_coefficient(0)));
    EXPECT_EQ(foliage_loss_coefficient(1), 0.0);
    // Nine conifer belts: wind at its least 71 % of the open wind where 31 % could be seen through (Loeffler,
    // Gordon & Gillespie 1992, Agroforestry Systems 17, 119–133). The wind behind a screen falls by K/(1 + 2
    // K)^0.8 (Wilson, Swaters & Ustina 1990, QJRMS 116, 989–1004, from memory).
    const double k = foliage_loss_coefficient(0.31);
    EXPECT_NEAR(1 - k / std::pow(1 + 2 * k, 0.8), 0.71, 0.03);
}

/// Σ of the drag of a row of cells over the way through it.
double crossing(const Laid& laid, int row) {
    double sum = 0;
    for (int i = 0; i < laid.grid.cols; ++i)
        sum += static_cast<double>(laid.surface.canopy_drag(row, i)) * laid.grid.dx;
    return sum;
}

TEST(Obstacles, SquareCrossingLosesTheSameOnAnyCells) {
    const Grid fine{48, 48, 5.0, 5.0};
    for (const auto& [kind, loss] : {std::pair{ObstacleKind::hedge, screen_loss_coefficient(0.4)},
                                     std::pair{ObstacleKind::tree_belt, foliage_loss_coefficient(0.4)}}) {
        for (const int block : {1, 2, 3, 4}) {
            const Laid laid = lay({line_obstacle(kind, 4, 0.4, {{121, 0}, {121, 240}})}, fine, block);
            for (int j = 0; j < laid.grid.rows; ++j) EXPECT_NEAR(crossing(laid, j), loss / 2, 1e-5 * loss);
            EXPECT_TRUE(laid.surface.raised.empty());
        }
    }
}

TEST(Obstacles, SlantingLineHoldsEveryRowAlike) {
    // At 45° the way through a row of cells is √2 times as long as the way straight across.
    const Grid fine{48, 48, 5.0, 5.0};
    for (const int block : {1, 2, 4}) {
        const Laid laid =
            lay({line_obstacle(ObstacleKind::fence, 2, 0.5, {{-1, 1}, {241, 243}})}, fine, block);
        for (int j = 1; j + 1 < laid.grid.rows; ++j)
            EXPECT_NEAR(crossing(laid, j), std::numbers::sqrt2 * 2.0 / 2, 1e-5) << block << " " << j;
    }
}

TEST(Obstacles, HedgeOfOneCellStandsFullHeightAtItsFaces) {
    const Grid fine{6, 6, 5.0, 5.0};
    const Laid laid = lay({line_obstacle(ObstacleKind::hedge, 3, 0.5, {{12, 0}, {12, 30}})}, fine, 1);
    for (int i = 1; i <= 3; ++i) EXPECT_EQ(laid.surface.canopy_top(2, i), 3.0F);
    EXPECT_EQ(laid.surface.canopy_drag(2, 1), 0.0F);
    EXPECT_EQ(laid.surface.canopy_top(2, 4), 0.0F);
}

TEST(Obstacles, OpenIsNothing) {
    const Grid fine{20, 20, 5.0, 5.0};
    const Laid laid = lay({line_obstacle(ObstacleKind::fence, 2, 1.0, {{10, 0}, {60, 100}}),
                           line_obstacle(ObstacleKind::tree_belt, 12, 1.0, {{10, 0}, {60, 100}}),
                           line_obstacle(ObstacleKind::wall, 2, 0.0, {{10, 10}, {60, 10}}, {{0, 50, 1.0}})},
                          fine, 2);
    EXPECT_TRUE(laid.surface.canopy_top.empty());
    EXPECT_TRUE(laid.surface.canopy_drag.empty());
    EXPECT_TRUE(laid.surface.raised.empty());
}

TEST(Obstacles, SolidLineIsTightAtAnySlant) {
    const Grid fine{60, 60, 5.0, 5.0};
    for (const int block : {1, 2, 3}) {
        for (double end = 20; end < 290; end += 30) {
            const Obstacle wall = line_obstacle(ObstacleKind::wall, 2, 0, {{300 - end, -1}, {end, 301}});
            const Laid laid = lay({wall}, fine, block);
            EXPECT_FALSE(leaks(laid.grid, [&](int j, int i) { return laid.surface.raised(j, i) > 0; }))
                << end;
        }
    }
}

TEST(Obstacles, NarrowGapOpensAWayAtAnySlant) {
    // 3 m in a wall on cells of 5 to 15 m: the ground stays, a screen as open as the cell's stretch remains.
    const Grid fine{60, 60, 5.0, 5.0};
    for (const int block : {1, 2, 3}) {
        for (double end = 20; end < 290; end += 30) {
            const double length = std::hypot(2 * end - 300, 302.0);
            const Obstacle wall = line_obstacle(ObstacleKind::wall, 2, 0, {{300 - end, -1}, {end, 301}},
                                                {{0.4 * length, 0.4 * length + 3, 1.0}});
            const Laid laid = lay({wall}, fine, block);
            EXPECT_TRUE(leaks(laid.grid, [&](int j, int i) { return laid.surface.raised(j, i) > 0; })) << end;
        }
    }
}

TEST(Obstacles, NarrowGapPassesTheSameOnAnyCells) {
    // What drives air through a gap of width w: pressure head p pays the speed in the cell and its loss,
    // p = (1 + K) u²/2, over a cell of width c: discharge c √(2 p/(1 + K)), near w √(2 p) whatever c is.
    for (const double cell : {6.0, 10.0, 20.0, 40.0}) {
        const double share = 4.0 / cell;
        const double discharge = cell / std::sqrt(1 + screen_loss_coefficient(share));
        std::printf("gap of 4 m on cells of %.0f m: as a free gap of %.2f m\n", cell, discharge);
        EXPECT_NEAR(discharge, 4.0, 0.17 * 4.0);
    }
    const Grid fine{6, 6, 10.0, 10.0};
    const Laid laid =
        lay({line_obstacle(ObstacleKind::wall, 2, 0, {{25, 0}, {25, 60}}, {{22, 26, 1.0}})}, fine, 1);
    EXPECT_EQ(laid.surface.raised(2, 2), 0.0F);
    EXPECT_EQ(laid.surface.raised(3, 2), 2.0F);
    EXPECT_NEAR(laid.surface.canopy_drag(2, 2), screen_loss_coefficient(0.4) / (2 * 10.0), 1e-6);
}

CellShares rows_of(const Grid& grid, int first_col, int last_col, float share) {
    CellShares shares;
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = first_col; i <= last_col; ++i) {
            shares.cells.push_back(static_cast<std::uint32_t>(grid.index(j, i)));
            shares.share.push_back(share);
        }
    }
    return shares;
}

TEST(Obstacles, AreasGiveTheirLossOverTheirWidth) {
    const Grid fine{24, 24, 2.0, 2.0};
    Obstacle belt;
    belt.kind = ObstacleKind::tree_belt;
    belt.height_m = 12;
    belt.openness = 0.35;
    belt.areas.push_back({8.0, rows_of(fine, 10, 13, 1.0F), {}, {}});
    for (const int block : {1, 2, 3, 4}) {
        const Laid laid = lay({belt}, fine, block);
        for (int j = 0; j < laid.grid.rows; ++j)
            EXPECT_NEAR(crossing(laid, j), foliage_loss_coefficient(0.35) / 2, 1e-6) << block;
    }
}

TEST(Obstacles, SolidAreas) {
    const Grid fine{24, 24, 2.0, 2.0};
    Obstacle bank;
    bank.kind = ObstacleKind::bank;
    bank.height_m = 3;
    // 3 m wide across the border of two coarse cells of 8 m: neither is covered by half.
    bank.areas.push_back(
        {3.0, rows_of(fine, 11, 12, 0.75F), {{{22.5, 0}, {25.5, 0}, {25.5, 48}, {22.5, 48}, {22.5, 0}}}, {}});
    const Laid narrow = lay({bank}, fine, 4);
    EXPECT_FALSE(leaks(narrow.grid, [&](int j, int i) { return narrow.surface.raised(j, i) > 0; }));
    bank.areas.front() = {24.0, rows_of(fine, 6, 17, 1.0F), {}, {}};
    const Laid wide = lay({bank}, fine, 4);  // coarse columns 1 (by half), 2, 3, 4 (by half)
    EXPECT_EQ(wide.surface.raised(2, 0), 0.0F);
    for (int i = 1; i <= 4; ++i) EXPECT_EQ(wide.surface.raised(2, i), 3.0F);
    EXPECT_EQ(wide.surface.raised(2, 5), 0.0F);
}

TEST(Canopy, DifferentHeightsKeepDragAreaAndMeanHeight) {
    NightSurface surface;
    CanopySum canopy({1, 1, 5, 5});
    canopy.add(0, 0, 3, 0.5);
    canopy.add(0, 0, 15, 0.04);
    canopy.put(surface);
    const double top = surface.canopy_top(0, 0);
    const double drag = surface.canopy_drag(0, 0);
    EXPECT_NEAR(drag * top, 3 * 0.5 + 15 * 0.04, 1e-5);
    EXPECT_NEAR(drag * top * top, 9 * 0.5 + 225 * 0.04, 1e-4);
}

TEST(Fans, GiveTheirHeatOnAnyCells) {
    for (const double cell : {2.0, 5.0, 30.0, 200.0}) {
        const Grid grid{static_cast<int>(400 / cell), static_cast<int>(400 / cell), cell, cell};
        NightSurface surface;
        add_fans({{"fan", {203, 197}, 45, 60e3}}, grid, surface);
        double sum = 0;
        for (const float w : surface.heat_w_m2.all()) sum += static_cast<double>(w) * grid.cell_area();
        EXPECT_NEAR(sum, 60e3, 1);
    }
    // On the edge only the half inside counts.
    const Grid grid{80, 80, 5, 5};
    NightSurface surface;
    add_fans({{"fan", {0, 200}, 50, 60e3}}, grid, surface);
    double sum = 0;
    for (const float w : surface.heat_w_m2.all()) sum += static_cast<double>(w) * grid.cell_area();
    EXPECT_NEAR(sum, 30e3, 300);
}

}  // namespace
}  // namespace lielow
