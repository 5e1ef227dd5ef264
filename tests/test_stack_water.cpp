// SPDX-License-Identifier: Apache-2.0
// A stack of one sheet against the analytic solutions of the shallow-water equations.
#include <gtest/gtest.h>

#include <cmath>

#include "sim/stack_solver.hpp"
#include "tests/support/convergence.hpp"
#include "tests/support/shallow_water_exact.hpp"

namespace lielow {
namespace {

StackParameters water(double g = 9.81) {
    StackParameters p;
    p.buoyancy = {g};
    return p;
}

/// Dam at the middle of a channel of `cells` cells and 10 m; L1 error of depth at 6 s relative to the volume.
template <class Exact>
double dam_break_error(int cells, double h_left, double h_right, Exact exact) {
    const Grid grid{1, cells, 10.0 / cells, 1.0};
    StackSolver<double> solver(grid, Field<double>(1, cells, 0.0), water());
    for (int i = 0; i < cells; ++i) solver.set_thickness(0, 0, i, i < cells / 2 ? h_left : h_right);
    solver.run_until(6.0);
    double error = 0;
    double volume = 0;
    for (int i = 0; i < cells; ++i) {
        const double h = exact((i + 0.5) * grid.dx - 5.0, 6.0).h;
        error += std::abs(solver.thickness(0, 0, i) - h);
        volume += h;
    }
    return error / volume;
}

TEST(DamBreak, RitterConverges) {
    // Ritter 1892; data of Delestre et al. 2013: 5 mm of water, 10 m channel, 6 s.
    ConvergenceStudy study{"Ritter, first order, L1", {}, {}};
    for (const int cells : {100, 200, 400, 800}) {
        study.add(10.0 / cells, dam_break_error(cells, 0.005, 0.0, [](double x, double t) {
                      return exact::ritter(9.81, 0.005, x, t);
                  }));
    }
    study.print();
    EXPECT_LT(study.error[2], 0.02);
    // First order on a solution with two corners and a dry front: between 1/2 and 1, rising as the grid is
    // refined.
    EXPECT_GT(study.last_order(), 0.65);
}

TEST(DamBreak, RitterAtTheDam) {
    // At the dam h = 4/9 h0 and u = 2/3 sqrt(g h0) for all times: 2.22222e-3 m and 0.1476482 m/s.
    const int cells = 400;
    const Grid grid{1, cells, 10.0 / cells, 1.0};
    StackSolver<double> solver(grid, Field<double>(1, cells, 0.0), water());
    for (int i = 0; i < cells / 2; ++i) solver.set_thickness(0, 0, i, 0.005);
    solver.run_until(6.0);
    const double h = 0.5 * (solver.thickness(0, 0, 199) + solver.thickness(0, 0, 200));
    EXPECT_NEAR(h, 0.00222222, 0.02 * 0.00222222);
    EXPECT_NEAR(solver.velocity_x(0, 0, 200), 0.1476482, 0.02 * 0.1476482);
}

TEST(DamBreak, StokerConverges) {
    ConvergenceStudy study{"Stoker, first order, L1", {}, {}};
    for (const int cells : {100, 200, 400, 800}) {
        study.add(10.0 / cells, dam_break_error(cells, 0.005, 0.001, [](double x, double t) {
                      return exact::stoker(9.81, 0.005, 0.001, x, t);
                  }));
    }
    study.print();
    EXPECT_LT(study.error[2], 0.01);
    EXPECT_GT(study.fitted_order(), 0.7);
}

TEST(DamBreak, StokerPlateauAndBore) {
    // Stoker 1957; the plateau and the bore's speed from the Rankine-Hugoniot conditions: h 2.539357e-3, u
    // 0.1272797, S 0.2099634.
    const auto m = exact::stoker_plateau(9.81, 0.005, 0.001);
    EXPECT_NEAR(m.h, 0.002539357, 1e-9);
    EXPECT_NEAR(m.u, 0.1272797, 1e-7);
    EXPECT_NEAR(m.bore, 0.2099634, 1e-7);
    const int cells = 800;
    const Grid grid{1, cells, 10.0 / cells, 1.0};
    StackSolver<double> solver(grid, Field<double>(1, cells, 0.0), water());
    for (int i = 0; i < cells; ++i) solver.set_thickness(0, 0, i, i < cells / 2 ? 0.005 : 0.001);
    solver.run_until(6.0);
    const auto at = [&](double x) { return static_cast<int>(x / grid.dx); };
    EXPECT_NEAR(solver.thickness(0, 0, at(5.6)), m.h, 0.005 * m.h);
    EXPECT_NEAR(solver.velocity_x(0, 0, at(5.6)), m.u, 0.005 * m.u);
    int front = cells - 1;
    while (solver.thickness(0, 0, front) < 0.5 * (0.001 + m.h)) --front;
    EXPECT_NEAR((front + 0.5) * grid.dx, 5.0 + 6.0 * m.bore, 2 * grid.dx);
}

TEST(DamBreak, ReducedGravityScales) {
    // Ritter with b = 0.1 m/s²: 4.44444 m and 0.66667 m/s at the dam of a 10 m deep store.
    const int cells = 400;
    const Grid grid{1, cells, 2.0, 1.0};
    StackSolver<double> solver(grid, Field<double>(1, cells, 0.0), water(0.1));
    for (int i = 0; i < cells / 2; ++i) solver.set_thickness(0, 0, i, 10.0);
    solver.run_until(150.0);
    EXPECT_NEAR(0.5 * (solver.thickness(0, 0, 199) + solver.thickness(0, 0, 200)), 4.44444, 0.1);
    EXPECT_NEAR(solver.velocity_x(0, 0, 200), 0.66667, 0.02);
}

/// Relative L1 error of depth after `periods` of the radial oscillation on an n × n grid over [−2, 2]².
double thacker_radial_error(int n, double periods, double* volume_change = nullptr) {
    const exact::ThackerRadial bowl;
    const Grid grid{n, n, 4.0 / n, 4.0 / n};
    const auto radius = [&](int j, int i) {
        return std::hypot((i + 0.5) * grid.dx - 2, (j + 0.5) * grid.dy - 2);
    };
    Field<double> z(n, n);
    for (int j = 0; j < n; ++j) {
        for (int i = 0; i < n; ++i) z(j, i) = bowl.bed(radius(j, i));
    }
    StackSolver<double> solver(grid, z, water());
    for (int j = 0; j < n; ++j) {
        for (int i = 0; i < n; ++i) solver.set_thickness(0, j, i, bowl.depth(radius(j, i), 0));
    }
    const double before = solver.budget().volume;
    const double t = periods * bowl.period();
    solver.run_until(t);
    if (volume_change != nullptr) *volume_change = std::abs(solver.budget().volume - before) / before;
    double error = 0;
    double total = 0;
    for (int j = 0; j < n; ++j) {
        for (int i = 0; i < n; ++i) {
            const double h = bowl.depth(radius(j, i), t);
            error += std::abs(solver.thickness(0, j, i) - h);
            total += h;
        }
    }
    return error / total;
}

TEST(Thacker, RadialConverges) {
    ConvergenceStudy study{"Thacker radial, half a period, first order, L1", {}, {}};
    double volume_change = 1;
    for (const int n : {50, 100, 200}) study.add(4.0 / n, thacker_radial_error(n, 0.5, &volume_change));
    study.print();
    EXPECT_LT(volume_change, 1e-12);
    EXPECT_LT(study.error[2], 0.05);
    EXPECT_GT(study.fitted_order(), 0.7);
}

TEST(Thacker, LineConverges) {
    const exact::ThackerLine bowl;
    ConvergenceStudy study{"Thacker line, one period, first order, L1", {}, {}};
    for (const int n : {100, 200, 400, 800}) {
        const Grid grid{1, n, 4.0 / n, 1.0};
        Field<double> z(1, n);
        for (int i = 0; i < n; ++i) z(0, i) = bowl.bed((i + 0.5) * grid.dx - 2);
        StackSolver<double> solver(grid, z, water());
        for (int i = 0; i < n; ++i) solver.set_thickness(0, 0, i, bowl.depth((i + 0.5) * grid.dx - 2, 0));
        solver.run_until(bowl.period());
        double error = 0, total = 0;
        for (int i = 0; i < n; ++i) {
            const double h = bowl.depth((i + 0.5) * grid.dx - 2, bowl.period());
            error += std::abs(solver.thickness(0, 0, i) - h);
            total += h;
        }
        study.add(grid.dx, error / total);
    }
    study.print();
    EXPECT_LT(study.error.back(), 0.03);
    EXPECT_GT(study.fitted_order(), 0.7);
}

TEST(Thacker, PlanarConverges) {
    const exact::ThackerPlanar bowl;
    ConvergenceStudy study{"Thacker planar in 2-D, one period, first order, L1", {}, {}};
    for (const int n : {50, 100, 200}) {
        const Grid grid{n, n, 4.0 / n, 4.0 / n};
        const auto at = [&](double k) { return k * grid.dx - 2; };
        Field<double> z(n, n);
        for (int j = 0; j < n; ++j) {
            for (int i = 0; i < n; ++i) z(j, i) = bowl.bed(at(i + 0.5), at(j + 0.5));
        }
        StackSolver<double> solver(grid, z, water());
        for (int j = 0; j < n; ++j) {
            for (int i = 0; i < n; ++i) {
                solver.set_thickness(0, j, i, bowl.depth(at(i + 0.5), at(j + 0.5), 0));
                if (bowl.depth(at(i + 0.5), at(j), 0) > 0) solver.set_velocity_y(0, j, i, bowl.speed_y(0));
            }
        }
        solver.run_until(bowl.period());
        double error = 0, total = 0;
        for (int j = 0; j < n; ++j) {
            for (int i = 0; i < n; ++i) {
                const double h = bowl.depth(at(i + 0.5), at(j + 0.5), bowl.period());
                error += std::abs(solver.thickness(0, j, i) - h);
                total += h;
            }
        }
        study.add(grid.dx, error / total);
    }
    study.print();
    EXPECT_LT(study.error.back(), 0.15);
    EXPECT_GT(study.fitted_order(), 0.6);
}

}  // namespace
}  // namespace lielow
