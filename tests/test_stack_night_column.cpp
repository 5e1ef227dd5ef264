// SPDX-License-Identifier: Apache-2.0
// The flat calm night: the column exchange against heat conduction, and the reading of temperature from
// isotherms.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "sim/column_temperature.hpp"
#include "sim/errors.hpp"
#include "sim/stack_solver.hpp"
#include "tests/support/convergence.hpp"

namespace lielow {
namespace {

constexpr double mixing = 0.04;          // m²/s
constexpr double loss = 15.0 / 1256.25;  // K m/s

/// Conduction into still air under constant loss (Carslaw & Jaeger 1959, Conduction of Heat in Solids, §2.9):
/// drop at height z after t.
double conduction(double z, double t) {
    return 2 * loss * std::sqrt(t / (std::numbers::pi * mixing)) * std::exp(-z * z / (4 * mixing * t)) -
           loss * z / mixing * std::erfc(z / (2 * std::sqrt(mixing * t)));
}

StackSolver<double> flat_night(double step_k, double hours, double dt) {
    const Grid grid{1, 1, 10, 10};
    StackParameters p;
    const int sheets =
        static_cast<int>(std::ceil(12.0 / step_k)) > 32 ? 32 : static_cast<int>(std::ceil(12.0 / step_k));
    p.buoyancy = night_buoyancy(sheets, step_k, 280);
    p.exchange = {true, mixing, step_k, std::min(0.5, 0.5 * mixing * step_k / loss)};
    p.longest_step = dt;
    StackSolver<double> solver(grid, Field<double>(1, 1, 100.0), p);
    solver.set_loss(loss);
    solver.run_until(hours * 3600);
    return solver;
}

double drop_at(const StackSolver<double>& solver, double step_k, double height) {
    std::vector<double> levels;
    for (int k = 0; k < solver.sheets(); ++k) levels.push_back(solver.isotherm_height(k, 0, 0));
    return deficit_at({step_k, loss / mixing}, levels, solver.sheets(), height);
}

TEST(FlatNight, ExactSolutionAsPublished) {
    // 2 q sqrt(t/(pi K)) for Q 15 W/m², rho cp 1256.25, K 0.04, 2 h: 5.716188 K; 5.279588 K at 1.5 m.
    EXPECT_NEAR(conduction(0, 7200), 5.716188, 1e-6);
    EXPECT_NEAR(conduction(1.5, 7200), 5.279588, 1e-6);
}

TEST(FlatNight, ConvergesToConductionWithTheSheetStep) {
    ConvergenceStudy study{"Flat calm night, drop at 1.5 m after 2 h, over the sheet step in K", {}, {}};
    for (const double step : {2.0, 1.0, 0.5, 0.25}) {
        const auto solver = flat_night(step, 2, 2);
        study.add(step, std::abs(drop_at(solver, step, 1.5) - conduction(1.5, 7200)));
    }
    study.print();
    EXPECT_LT(study.error[1], 0.15);
    EXPECT_GT(study.fitted_order(), 0.7);
}

TEST(FlatNight, WholeProfile) {
    // Largest difference from conduction over the lowest 60 m stays within a quarter of a sheet step.
    const double step = 0.5;
    const auto solver = flat_night(step, 4, 2);
    double worst = 0;
    for (double z = 0; z <= 60; z += 0.5) {
        const double exact = conduction(z, 4 * 3600);
        if (exact > 0.5 * step) worst = std::max(worst, std::abs(drop_at(solver, step, z) - exact));
    }
    std::printf("largest difference over the profile: %.3f K for a sheet step of %.2f K\n", worst, step);
    EXPECT_LT(worst, 0.25 * step);
}

TEST(FlatNight, SquareRootOfTime) {
    // Brunt 1932: the drop grows with the square root of time, so that of 9 h is three times that of 1 h.
    const double step = 0.5;
    EXPECT_NEAR(drop_at(flat_night(step, 9, 2), step, 0.0) / drop_at(flat_night(step, 1, 2), step, 0.0), 3.0,
                0.1);
}

TEST(FlatNight, HeatIsKept) {
    const auto solver = flat_night(1.0, 5, 3);
    double heat = 0;
    for (int k = 0; k < solver.sheets(); ++k) heat += solver.isotherm_height(k, 0, 0);
    EXPECT_NEAR(heat / (loss * 5 * 3600), 1.0, 1e-12);
}

TEST(FlatNight, RefusesALossTheColumnCannotPass) {
    StackParameters p;
    p.buoyancy = night_buoyancy(5, 1.0, 280);
    p.exchange = {true, mixing, 1.0, 0.5};
    StackSolver<double> solver({1, 1, 10, 10}, Field<double>(1, 1, 0.0), p);
    EXPECT_THROW(solver.set_loss(0.5), InputError);
    EXPECT_THROW(solver.set_loss(Field<float>(1, 1, 0.5F)), InputError);
    // At the limit itself nothing is made or lost.
    const double most = mixing * 1.0 / 0.5;
    solver.set_loss(most);
    solver.run_until(600);
    double heat = 0;
    for (int k = 0; k < solver.sheets(); ++k) heat += solver.isotherm_height(k, 0, 0);
    EXPECT_NEAR(heat / (most * 600), 1.0, 1e-12);
}

TEST(FlatNight, ColdestSheetVanishesWhenTheLossStops) {
    auto solver = flat_night(1.0, 3, 2);
    int before = 0;
    while (solver.isotherm_height(before, 0, 0) > 0) ++before;
    solver.set_loss(0.0);
    solver.run_until(6 * 3600);
    int after = 0;
    while (after < solver.sheets() && solver.isotherm_height(after, 0, 0) > 0) ++after;
    EXPECT_GT(before, after);
    double heat = 0;
    for (int k = 0; k < solver.sheets(); ++k) {
        heat += solver.isotherm_height(k, 0, 0);
        EXPECT_GE(solver.thickness(k, 0, 0), 0.0);
    }
    EXPECT_NEAR(heat / (loss * 3 * 3600), 1.0, 1e-12);
}

TEST(ColumnReading, PiecewiseLinear) {
    const ColumnScale scale{2.0, 0.3};
    const std::array<double, 4> heights{12.0, 5.0, 1.0, 0.0};
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 12.0), 1.0);
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 8.5), 2.0);
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 5.0), 3.0);
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 1.0), 5.0);
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 0.0), 5.3);
    EXPECT_DOUBLE_EQ(deficit_at(scale, heights, 4, 15.5), 0.0);
    EXPECT_DOUBLE_EQ(deficit_at(scale, std::array<double, 2>{0.0, 0.0}, 2, 1.0), 0.0);
    EXPECT_DOUBLE_EQ(deficit_at({2.0, 10.0}, std::array<double, 1>{5.0}, 1, 0.0), 3.0);
}

}  // namespace
}  // namespace lielow
