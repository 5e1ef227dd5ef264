// SPDX-License-Identifier: Apache-2.0
// Mirroring, transposing or rotating the ground mirrors, transposes or rotates the flow, bit for bit; the
// number of threads changes nothing; volume and heat close.
#include <gtest/gtest.h>
#include <omp.h>

#include <functional>
#include <tuple>

#include "sim/stack_solver.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

StackParameters night_parameters(EdgeKind kind, SchemeOrder order) {
    StackParameters p;
    p.order = order;
    p.buoyancy = night_buoyancy(5, 1.0, 280.0);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    p.interface_drag = 0.002;
    p.momentum_mixing = 0.04;
    p.exchange = {true, 0.04, 1.0, 0.5};
    p.edges = {kind, kind, kind, kind};
    return p;
}

template <class Real>
StackSolver<Real> run_night(const Field<double>& z, EdgeKind kind, SchemeOrder order, double hours) {
    const Grid grid{z.rows(), z.cols(), 10.0, 10.0};
    StackSolver<Real> solver(grid, z, night_parameters(kind, order));
    solver.set_loss(0.012);
    solver.set_far_field(std::vector<double>{3.0, 1.5}, 12.0, 1.0);
    solver.run_until(hours * 3600);
    return solver;
}

using Map = std::function<std::pair<int, int>(int, int)>;

template <class Real>
void expect_same_under(const Map& map, bool transposed, SchemeOrder order) {
    const int n = 20;
    const int m = transposed ? n : 26;
    const Field<double> z = rough_bowl(n, m, 25.0, 2.0);
    Field<double> turned(transposed ? m : n, transposed ? n : m);
    for (int j = 0; j < n; ++j) {
        for (int i = 0; i < m; ++i) {
            const auto [r, c] = map(j, i);
            turned(r, c) = z(j, i);
        }
    }
    const auto a = run_night<Real>(z, EdgeKind::far_field, order, 0.5);
    const auto b = run_night<Real>(turned, EdgeKind::far_field, order, 0.5);
    ASSERT_EQ(a.steps(), b.steps());
    EXPECT_GT(fastest(a), 0.1);
    for (int k = 0; k < a.sheets(); ++k) {
        for (int j = 0; j < n; ++j) {
            for (int i = 0; i < m; ++i) {
                const auto [r, c] = map(j, i);
                ASSERT_EQ(a.thickness(k, j, i), b.thickness(k, r, c)) << k << ' ' << j << ' ' << i;
            }
        }
    }
}

class Symmetry : public testing::TestWithParam<SchemeOrder> {};

TEST_P(Symmetry, MirrorEastWest) {
    expect_same_under<float>([](int j, int i) { return std::pair{j, 25 - i}; }, false, GetParam());
}
TEST_P(Symmetry, MirrorNorthSouth) {
    expect_same_under<double>([](int j, int i) { return std::pair{19 - j, i}; }, false, GetParam());
}
TEST_P(Symmetry, Transpose) {
    expect_same_under<float>([](int j, int i) { return std::pair{i, j}; }, true, GetParam());
}
TEST_P(Symmetry, QuarterTurn) {
    expect_same_under<double>([](int j, int i) { return std::pair{i, 19 - j}; }, true, GetParam());
}

TEST_P(Symmetry, SameBitsOnAnyNumberOfThreads) {
    const Field<double> z = rough_bowl(90, 80, 25.0, 1.0);
    const int most = omp_get_max_threads();
    omp_set_num_threads(1);
    const auto one = run_night<float>(z, EdgeKind::far_field, GetParam(), 0.2);
    omp_set_num_threads(3);
    const auto three = run_night<float>(z, EdgeKind::far_field, GetParam(), 0.2);
    omp_set_num_threads(most);
    for (int k = 0; k < one.sheets(); ++k) {
        for (int j = 0; j < 90; ++j) {
            for (int i = 0; i < 80; ++i) ASSERT_EQ(one.thickness(k, j, i), three.thickness(k, j, i));
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Orders, Symmetry, testing::Values(SchemeOrder::first, SchemeOrder::second));

class Closure : public testing::TestWithParam<std::tuple<EdgeKind, SchemeOrder>> {};

TEST_P(Closure, HeatCloses) {
    const Field<double> z = rough_bowl(40, 44, 25.0, 1.0);
    const auto solver = run_night<double>(z, std::get<0>(GetParam()), std::get<1>(GetParam()), 2.0);
    const StackBudget b = solver.budget();
    // Σ b_k h_k grows by q g/θ0 for each m² and second, and by what the edges bring.
    const double lost = 0.012 * 9.81 / 280.0 * 2.0 * 3600 * solver.grid().cells() * solver.grid().cell_area();
    EXPECT_NEAR((b.buoyancy_content - b.buoyancy_in) / lost, 1.0, 1e-10);
}

INSTANTIATE_TEST_SUITE_P(Edges, Closure,
                         testing::Combine(testing::Values(EdgeKind::wall, EdgeKind::open,
                                                          EdgeKind::far_field),
                                          testing::Values(SchemeOrder::first, SchemeOrder::second)));

class WaterClosure : public testing::TestWithParam<SchemeOrder> {};

TEST_P(WaterClosure, VolumeCloses) {
    const Field<double> z = rough_bowl(40, 44, 5.0, 0.5);
    const Grid grid{40, 44, 2.0, 2.0};
    StackParameters p;
    p.order = GetParam();
    p.buoyancy = {9.81};
    p.edges = {EdgeKind::open, EdgeKind::open, EdgeKind::open, EdgeKind::open};
    p.drag_law = DragLaw::manning;
    p.drag_coefficient = 0.05;
    StackSolver<double> solver(grid, z, p);
    Field<float> rain(40, 44, 1e-5F);
    solver.set_source(rain);
    solver.run_until(3600);
    const StackBudget b = solver.budget();
    const double fallen = static_cast<double>(1e-5F) * 3600 * grid.cells() * grid.cell_area();
    EXPECT_NEAR((b.volume - b.volume_in) / fallen, 1.0, 1e-10);
    EXPECT_LT(b.volume_in, 0);
}

INSTANTIATE_TEST_SUITE_P(Orders, WaterClosure, testing::Values(SchemeOrder::first, SchemeOrder::second));

}  // namespace
}  // namespace lielow
