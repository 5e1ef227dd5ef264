// SPDX-License-Identifier: Apache-2.0
// Waves between two sheets, the steady flow down a slope, and the momentum of colliding sheets.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "sim/stack_solver.hpp"

namespace lielow {
namespace {

struct TwoSheets {
    std::array<double, 2> thickness;
    std::array<double, 2> buoyancy;
    /// Speed of a long wave: c⁴ − (b1 H1 + b2 H2) c² + H1 H2 b1 (b2 − b1) = 0, the eigenproblem of the linear
    /// equations of docs/physics.md.
    [[nodiscard]] double speed(bool fast) const {
        const double sum = buoyancy[0] * thickness[0] + buoyancy[1] * thickness[1];
        const double product = thickness[0] * thickness[1] * buoyancy[0] * (buoyancy[1] - buoyancy[0]);
        return std::sqrt(0.5 * (sum + (fast ? 1 : -1) * std::sqrt(sum * sum - 4 * product)));
    }
    /// Amplitude of the lower sheet over that of the upper one in that wave.
    [[nodiscard]] double ratio(bool fast) const {
        const double c = speed(fast);
        return c * c / (thickness[0] * buoyancy[0]) - 1;
    }
};

/// Period of a standing half wave between two walls, from the zero crossings of the upper sheet.
double standing_period(const TwoSheets& air, bool fast, int cells, double length) {
    StackParameters p;
    p.buoyancy = {air.buoyancy[0], air.buoyancy[1]};
    const double dx = length / cells;
    StackSolver<double> solver({1, cells, dx, dx}, Field<double>(1, cells, 0.0), p);
    const auto shape = [&](int i) { return std::cos(std::numbers::pi * (i + 0.5) / cells); };
    for (int i = 0; i < cells; ++i) {
        solver.set_thickness(0, 0, i, air.thickness[0] + 0.001 * shape(i));
        solver.set_thickness(1, 0, i, air.thickness[1] + 0.001 * air.ratio(fast) * shape(i));
    }
    double first = 0, last = 0, before = 1, time = 0;
    for (int crossings = 0; crossings < 6;) {
        solver.step(1e9);
        double now = 0;
        for (int i = 0; i < cells; ++i) now += (solver.thickness(0, 0, i) - air.thickness[0]) * shape(i);
        if (now * before < 0) {
            last = time + (solver.time() - time) * before / (before - now);
            if (crossings++ == 0) first = last;
        }
        before = now;
        time = solver.time();
    }
    return 2 * (last - first) / 5;
}

TEST(Waves, TwoSheetsFollowTheEigenproblem) {
    const TwoSheets air{{10.0, 6.0}, {0.07, 0.14}};
    for (const bool fast : {true, false}) {
        const double measured = 2 * 1000 / standing_period(air, fast, 100, 1000);
        std::printf("%s wave: %.5f m/s, exact %.5f\n", fast ? "fast" : "slow", measured, air.speed(fast));
        EXPECT_NEAR(measured / air.speed(fast), 1.0, 5e-4);
    }
}

TEST(Slope, DragBalancesWeight) {
    // U = sqrt(b h s/Cd) (Chézy's balance), so h³ = Cd q²/(b s) under a flux q.
    const double slope = 0.05, drag = 0.02, b = 0.1, flux = 2.0, dx = 20;
    const int cells = 100, fed = 10;
    Field<double> z(1, cells);
    for (int i = 0; i < cells; ++i) z(0, i) = -slope * i * dx;
    StackParameters p;
    p.buoyancy = {b};
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = drag;
    p.edges.east = EdgeKind::open;
    StackSolver<double> solver({1, cells, dx, dx}, z, p);
    Field<float> source(1, cells, 0.0F);
    for (int i = 0; i < fed; ++i) source(0, i) = static_cast<float>(flux / (fed * dx));
    solver.set_source(source);
    solver.run_until(6 * 3600);
    const double depth = std::cbrt(drag * flux * flux / (b * slope));
    for (int i = cells / 2; i < cells; ++i) {
        EXPECT_NEAR(solver.thickness(0, 0, i), depth, 1e-3 * depth);
        EXPECT_NEAR(solver.velocity_x(0, 0, i), flux / depth, 1e-3 * flux / depth);
    }
}

TEST(InternalJump, OnlyTheWallsChangeTheMomentum) {
    // A deep cold sheet breaks into a shallow one under lighter air. The pressure that sheets exert on one
    // another cancels, so that on level ground the momentum is the impulse of the end walls.
    const int cells = 200;
    const double dx = 5;
    StackParameters p;
    p.buoyancy = {0.14, 0.28};
    StackSolver<double> solver({1, cells, dx, dx}, Field<double>(1, cells, 0.0), p);
    for (int i = 0; i < cells; ++i) {
        const double lower = i < 60 ? 10.0 : 1.0;
        solver.set_thickness(1, 0, i, lower);
        solver.set_thickness(0, 0, i, 12 - lower);
    }
    const auto push = [&](int i) {
        const double upper = solver.thickness(0, 0, i), lower = solver.thickness(1, 0, i);
        return 0.5 * p.buoyancy[0] * upper * upper + p.buoyancy[0] * upper * lower +
               0.5 * p.buoyancy[1] * lower * lower;
    };
    double impulse = 0;
    while (solver.time() < 200) {
        const double dt = solver.step(1e9);
        impulse += dt * (push(0) - push(cells - 1));
    }
    double momentum = 0;
    for (int k = 0; k < 2; ++k) {
        for (int i = 1; i < cells; ++i) {
            momentum += dx * 0.5 * (solver.thickness(k, 0, i) + solver.thickness(k, 0, i - 1)) *
                        solver.velocity_x(k, 0, i);
        }
    }
    EXPECT_NEAR(momentum / impulse, 1.0, 1e-5);
}

/// Nothing moves inside yet: the water that comes in must set the first step's length.
TEST(Inflow, LimitsTheFirstStep) {
    for (const SchemeOrder order : {SchemeOrder::first, SchemeOrder::second}) {
        StackParameters p;
        p.order = order;
        p.buoyancy = {9.81};
        p.edges.west = EdgeKind::inflow;
        constexpr double depth = 0.1;
        constexpr double speed = 10;
        const auto begun = [&p] {
            StackSolver<double> solver({1, 20, 2.0, 2.0}, Field<double>(1, 20, 0.0), p);
            solver.set_inflow(Side::west, depth * speed, depth);
            return solver;
        };
        auto solver = begun();
        const double first = solver.step(1e9);
        EXPECT_LE(first * (speed + std::sqrt(9.81 * depth)) / 2.0, p.courant * (1 + 1e-4));
        EXPECT_GT(first, 0.1 * p.courant * 2.0 / speed);
        // What the step falls short of is not skipped.
        auto later = begun();
        later.run_until(5);
        EXPECT_DOUBLE_EQ(later.time(), 5);
        EXPECT_NEAR(later.budget().volume, depth * speed * 2.0 * 5, 1e-9);
    }
}

}  // namespace
}  // namespace lielow
