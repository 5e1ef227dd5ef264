// SPDX-License-Identifier: Apache-2.0
// Edges given place by place (EdgeKind::given): level air outside leaves level air inside at rest, what
// crosses is counted to rounding, and sheets that the ground inside lacks come in.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <vector>

#include "sim/stack_solver.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

constexpr std::array all_sides{Side::west, Side::east, Side::north, Side::south};

/// Rounded to 2^-10 m, so that heights stay exact in single precision.
double exact(double metres) {
    return std::round(metres * 1024) / 1024;
}

StackParameters given_edges(int sheets, SchemeOrder order) {
    StackParameters p;
    p.order = order;
    p.buoyancy = night_buoyancy(sheets, 1.0, 280.0);
    p.edges = {EdgeKind::given, EdgeKind::given, EdgeKind::given, EdgeKind::given};
    return p;
}

/// What lies around a cut-out of wide ground, one cell wide.
struct Rim {
    std::vector<double> inside;   ///< elevation of the outermost cells
    std::vector<double> outside;  ///< of their neighbours outside
};

Rim rim_of(const Field<double>& wide, Side side, int first, int rows, int cols) {
    Rim rim;
    const bool along_rows = side == Side::west || side == Side::east;
    for (int n = 0; n < (along_rows ? rows : cols); ++n) {
        int j = first + n;
        int i = first + n;
        if (side == Side::west) i = first;
        if (side == Side::east) i = first + cols - 1;
        if (side == Side::north) j = first;
        if (side == Side::south) j = first + rows - 1;
        rim.inside.push_back(wide(j, i));
        const int out = side == Side::west || side == Side::north ? -1 : 1;
        rim.outside.push_back(along_rows ? wide(j, i + out) : wide(j + out, i));
    }
    return rim;
}

/// Level isotherms over the rim's ground outside; velocities all alike.
template <class Real>
void give_level(StackSolver<Real>& solver, const Field<double>& wide, int first,
                const std::vector<double>& levels, float velocity) {
    for (const Side side : all_sides) {
        const Rim rim = rim_of(wide, side, first, solver.grid().rows, solver.grid().cols);
        const std::size_t places = rim.outside.size();
        std::vector<double> rise(places);
        std::vector<float> thickness(places * levels.size());
        for (std::size_t p = 0; p < places; ++p) {
            rise[p] = rim.outside[p] - rim.inside[p];
            double below = 0;
            for (std::size_t k = levels.size(); k-- > 0;) {
                const double height = std::max(below, levels[k] - rim.outside[p]);
                thickness[k * places + p] = static_cast<float>(height - below);
                below = height;
            }
        }
        const std::vector<float> speeds(thickness.size(), velocity);
        solver.set_outside_rise(side, rise);
        solver.set_outside(side, {thickness, speeds, speeds});
    }
}

Field<double> exact_bowl(int rows, int cols) {
    Field<double> z = rough_bowl(rows, cols, 30.0, 3.0);
    for (double& value : z.all()) value = exact(value);
    return z;
}

Field<double> cut_out(const Field<double>& wide, int first, int rows, int cols) {
    Field<double> z(rows, cols);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i) z(j, i) = wide(first + j, first + i);
    }
    return z;
}

std::vector<double> exact_levels(int sheets, double relief) {
    std::vector<double> levels;
    for (int k = 0; k < sheets; ++k) levels.push_back(exact(relief * (1.1 - 0.95 * k / sheets)));
    return levels;
}

class GivenEdges : public testing::TestWithParam<SchemeOrder> {};

// Ground, isotherms and thicknesses are exact in either precision, so rest must be too.
TEST_P(GivenEdges, LevelAirOverRoughGroundStaysAtRest) {
    const int first = 5;
    const Field<double> wide = exact_bowl(24, 28);
    const Field<double> z = cut_out(wide, first, 12, 16);
    for (const int sheets : {1, 4, 12}) {
        const std::vector<double> levels = exact_levels(sheets, 30.0);
        StackSolver<double> solver({12, 16, 10.0, 8.0}, z, given_edges(sheets, GetParam()));
        fill_level(solver, z, levels);
        give_level(solver, wide, first, levels, 0.0F);
        const double before = solver.budget().volume;
        for (int n = 0; n < 500; ++n) solver.step(1e9);
        EXPECT_LT(fastest(solver), 1e-12) << sheets << " sheets";
        EXPECT_NEAR(solver.budget().volume, before, 1e-9 * before) << sheets << " sheets";
    }
}

/// Inflow through all sides that changes as it goes: over rough ground that was empty at first.
template <class Real>
StackSolver<Real> filled_from_outside(SchemeOrder order, const Field<double>& wide, int first, int rows,
                                      int cols, int steps) {
    const int sheets = 5;
    StackParameters p = given_edges(sheets, order);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    StackSolver<Real> solver({rows, cols, 10.0, 10.0}, cut_out(wide, first, rows, cols), p);
    for (int n = 0; n < steps; ++n) {
        give_level(solver, wide, first, exact_levels(sheets, 20.0 + 5.0 * n / steps), 0.3F);
        solver.step(2.0);
    }
    return solver;
}

TEST_P(GivenEdges, WhatCrossesIsCounted) {
    const Field<double> wide = exact_bowl(24, 28);
    const auto solver = filled_from_outside<double>(GetParam(), wide, 5, 12, 16, 400);
    const StackBudget budget = solver.budget();
    EXPECT_GT(budget.volume, 1e4);
    EXPECT_NEAR(budget.volume, budget.volume_in, 1e-11 * budget.volume);
    EXPECT_NEAR(budget.buoyancy_content, budget.buoyancy_in, 1e-11 * budget.buoyancy_content);
}

// Sweeps pass over sheets that are absent; those that come in from outside have to be noticed on every side.
TEST_P(GivenEdges, SheetsComeInOverEverySideAlike) {
    const Field<double> wide = exact_bowl(24, 24);
    Field<double> turned(24, 24);
    for (int j = 0; j < 24; ++j) {
        for (int i = 0; i < 24; ++i) turned(i, j) = wide(j, i);
    }
    const auto plain = filled_from_outside<float>(GetParam(), wide, 6, 12, 12, 200);
    const auto across = filled_from_outside<float>(GetParam(), turned, 6, 12, 12, 200);
    for (int k = 0; k < plain.sheets(); ++k) {
        float most = 0;
        for (int j = 0; j < 12; ++j) {
            for (int i = 0; i < 12; ++i) {
                most = std::max(most, plain.thickness(k, j, i));
                ASSERT_EQ(plain.thickness(k, j, i), across.thickness(k, i, j)) << k << ' ' << j << ' ' << i;
            }
        }
        EXPECT_GT(most, 0.1F) << "sheet " << k;
    }
}

// The first step is chosen before anybody has looked at the edges; deep air there makes it shorter than asked
// for.
TEST_P(GivenEdges, TimeIsWhatWasStepped) {
    const Field<double> wide = exact_bowl(24, 28);
    StackParameters p = given_edges(3, GetParam());
    p.exchange = {true, 0.04, 1.0, 0.5};
    StackSolver<double> solver({12, 16, 10.0, 10.0}, cut_out(wide, 5, 12, 16), p);
    constexpr double loss = 0.012;
    solver.set_loss(loss);
    give_level(solver, wide, 5, {60, 50, 40}, 0.0F);
    solver.run_until(30);
    EXPECT_EQ(solver.time(), 30);
    const StackBudget budget = solver.budget();
    const double lost =
        loss * 9.81 / 280.0 * 30 * 12 * 16 * 100.0;  // b_k grows by g δ/θ0 from sheet to sheet
    EXPECT_NEAR(budget.buoyancy_content - budget.buoyancy_in, lost,
                1e-9 * lost + 1e-12 * budget.buoyancy_content);
}

/// Root mean square of how far the top isotherm is from `depth` a sheet, m.
double swell(const StackSolver<double>& solver, double depth) {
    double sum = 0;
    const Grid& grid = solver.grid();
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i)
            sum += std::pow(solver.isotherm_height(0, j, i) - depth * solver.sheets(), 2);
    }
    return std::sqrt(sum / static_cast<double>(grid.cells()));
}

/// What is left of a swell in the middle of 600 m of level ground after it crossed that `crossings` times.
double swell_left(SchemeOrder order, int sheets, bool drag, double crossings) {
    constexpr int cells = 40;
    constexpr double depth = 4;
    StackParameters p = given_edges(sheets, order);
    if (drag) {
        p.drag_law = DragLaw::quadratic;
        p.drag_coefficient = 0.02;
        p.interface_drag = 0.002;
        p.momentum_mixing = 0.04;
    }
    const Field<double> level(cells, cells, 0.0);
    StackSolver<double> solver({cells, cells, 15.0, 15.0}, level, p);
    for (int j = 0; j < cells; ++j) {
        for (int i = 0; i < cells; ++i) {
            const double away = std::hypot(i - 19.5, j - 19.5) / 4;
            for (int k = 0; k < sheets; ++k)
                solver.set_thickness(k, j, i, depth + (k == 0 ? 0.4 * std::exp(-away * away) : 0.0));
        }
    }
    const std::vector<float> thickness(static_cast<std::size_t>(cells * sheets), static_cast<float>(depth));
    const std::vector<float> still(thickness.size(), 0.0F);
    for (const Side side : all_sides) solver.set_outside(side, {thickness, still, still});
    double square = 0;
    for (const double b : p.buoyancy) square += b * depth;
    const double before = swell(solver, depth);
    solver.run_until(crossings * 600 / std::sqrt(square));
    return swell(solver, depth) / before;
}

// Given edges throw waves back, as the far field does; it is drag and mixing that still them.
TEST_P(GivenEdges, SwellThatTheEdgesThrowBackDiesOfDrag) {
    for (const int sheets : {1, 4}) {
        const double free = swell_left(GetParam(), sheets, false, 5);
        const double held = swell_left(GetParam(), sheets, true, 5);
        std::printf("%d sheets, 5 crossings: %.3f of the swell left, with drag %.3f\n", sheets, free, held);
        EXPECT_LT(free, 1);
        EXPECT_LT(held, 0.25);
    }
}

INSTANTIATE_TEST_SUITE_P(Orders, GivenEdges, testing::Values(SchemeOrder::first, SchemeOrder::second),
                         [](const auto& tested) {
                             return tested.param == SchemeOrder::first ? "first" : "second";
                         });

}  // namespace
}  // namespace lielow
