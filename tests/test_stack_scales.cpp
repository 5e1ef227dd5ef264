// SPDX-License-Identifier: Apache-2.0
// Steep ground, and cells of half a metre and of a hundred.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "sim/stack_solver.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

constexpr int side = 16;

/// A slope of 1 down the rows to a floor of four rows, on cells of `cell` m. Multiples of `cell`, so that
/// heights and their differences are exact.
Field<double> slope_of_one(double cell) {
    Field<double> z(side, side);
    for (int j = 0; j < side; ++j) {
        for (int i = 0; i < side; ++i) z(j, i) = cell * std::max(0, 12 - j);
    }
    return z;
}

/// Everything that has a length or a time in it scaled from cells of 1 m by Froude's rule: times and speeds
/// by √cell.
StackParameters scaled(double cell, SchemeOrder order, std::vector<double> buoyancy) {
    StackParameters p;
    p.order = order;
    p.buoyancy = std::move(buoyancy);
    p.longest_step *= std::sqrt(cell);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    p.drag_height = 0.5 * cell;
    p.interface_drag = 0.002;
    p.momentum_mixing = 1e-3 * std::pow(cell, 1.5);
    p.exchange.gap_floor *= cell;
    return p;
}

enum class Fluid { water, air };

class Steep : public testing::TestWithParam<std::tuple<Fluid, SchemeOrder, double>> {
  protected:
    [[nodiscard]] static std::vector<double> buoyancy() {
        return std::get<0>(GetParam()) == Fluid::water ? std::vector<double>{9.81}
                                                       : night_buoyancy(4, 2.0, 280.0);
    }
    /// A block let go at the top of the slope, each sheet a quarter of a cell thick, after 40 √cell s.
    template <class Real>
    static StackSolver<Real> released(double cell, SchemeOrder order) {
        const Grid grid{side, side, cell, cell};
        StackSolver<Real> solver(grid, slope_of_one(cell), scaled(cell, order, buoyancy()));
        for (int k = 0; k < solver.sheets(); ++k) {
            for (int j = 1; j < 5; ++j) {
                for (int i = 5; i < 10; ++i) solver.set_thickness(k, j, i, static_cast<Real>(0.25 * cell));
            }
        }
        const double before = solver.budget().volume;
        solver.run_until(40 * std::sqrt(cell));
        const double rounding = std::is_same_v<Real, float> ? 1e-5 : 1e-12;
        EXPECT_NEAR(solver.budget().volume / before, 1.0, rounding);
        for (int k = 0; k < solver.sheets(); ++k) {
            for (int j = 0; j < side; ++j) {
                for (int i = 0; i < side; ++i) {
                    EXPECT_TRUE(std::isfinite(solver.thickness(k, j, i)));
                    EXPECT_GE(solver.thickness(k, j, i), Real(0));
                }
            }
        }
        // No faster than free fall over the whole height, b' = its own buoyancy.
        EXPECT_LT(fastest(solver), std::sqrt(2 * buoyancy().back() * 13 * cell));
        return solver;
    }
};

TEST_P(Steep, RestIsExact) {
    const auto [fluid, order, cell] = GetParam();
    const Field<double> z = slope_of_one(cell);
    StackSolver<double> solver({side, side, cell, cell}, z, scaled(cell, order, buoyancy()));
    std::vector<double> levels;
    levels.reserve(static_cast<std::size_t>(solver.sheets()));
    for (int k = 0; k < solver.sheets(); ++k) levels.push_back(cell * (8 - 2 * k));
    fill_level(solver, z, levels);
    for (int n = 0; n < 200; ++n) solver.step(1e9);
    // One sheet: every sum is exact. More: b_j/b_k rounds, against waves of √(b h).
    const double allowed = fluid == Fluid::water ? 0.0 : 1e-13 * std::sqrt(buoyancy().back() * 8 * cell);
    EXPECT_LE(fastest(solver), allowed);
}

TEST_P(Steep, ReleaseStaysFiniteAndKeepsItsVolume) {
    const auto [fluid, order, cell] = GetParam();
    released<double>(cell, order);
    released<float>(cell, order);
}

TEST_P(Steep, ReleaseIsTheSameAtEveryScale) {
    const auto [fluid, order, cell] = GetParam();
    const auto model = released<double>(1, order);
    const auto full = released<double>(cell, order);
    EXPECT_EQ(model.steps(), full.steps());
    double deepest = 0;
    double worst = 0;
    for (int k = 0; k < model.sheets(); ++k) {
        for (int j = 0; j < side; ++j) {
            for (int i = 0; i < side; ++i) {
                deepest = std::max(deepest, model.thickness(k, j, i));
                worst = std::max(worst, std::abs(full.thickness(k, j, i) / cell - model.thickness(k, j, i)));
            }
        }
    }
    std::printf("largest difference after scaling: %.1e of a deepest %.2f\n", worst, deepest);
    EXPECT_LT(worst, 1e-9 * deepest);
}

INSTANTIATE_TEST_SUITE_P(Scales, Steep,
                         testing::Combine(testing::Values(Fluid::water, Fluid::air),
                                          testing::Values(SchemeOrder::first, SchemeOrder::second),
                                          testing::Values(0.5, 100.0)));

}  // namespace
}  // namespace lielow
