// SPDX-License-Identifier: Apache-2.0
// What a night nested in a coarser one is told of the stack beyond its edges.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/night_ring.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

constexpr double step_k = 2.0;

NightPlan plan_of(int cells, double cell, int sheets) {
    NightPlan plan;
    plan.grid = {cells, cells, cell, cell};
    plan.sheets = sheets;
    plan.sheet_step_k = step_k;
    return plan;
}

StackParameters still(int sheets) {
    StackParameters p;
    p.buoyancy = night_buoyancy(sheets, step_k, 280.0);
    p.edges = {EdgeKind::given, EdgeKind::given, EdgeKind::given, EdgeKind::given};
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    return p;
}

/// m, falls along y by `fall` and rises to both sides of its middle by `sides`, metres a metre.
struct Valley {
    double fall = 0;
    double sides = 0;
    [[nodiscard]] double at(double x, double y) const { return 100 - fall * y + sides * std::abs(x - 600); }
};

/// 1200 m square in cells of 40 m, a farm of 400 m in cells of 10 m in its middle with gullies 4 m deep.
struct Nest {
    static constexpr int sheets = 3;
    NightPlan outer = plan_of(30, 40, sheets);
    NightPlan inner = plan_of(40, 10, sheets);
    Field<double> outer_ground{30, 30};
    Field<double> inner_ground{40, 40};
    Field<float> gradient{30, 30, 0.1F};

    explicit Nest(const Valley& valley) {
        for (int j = 0; j < 30; ++j) {
            for (int i = 0; i < 30; ++i) outer_ground(j, i) = valley.at((i + 0.5) * 40, (j + 0.5) * 40);
        }
        for (int j = 0; j < 40; ++j) {
            for (int i = 0; i < 40; ++i) {
                const bool gully = i % 13 == 6 || j % 13 == 6;
                inner_ground(j, i) = valley.at(400 + (i + 0.5) * 10, 400 + (j + 0.5) * 10) - (gully ? 4 : 0);
            }
        }
    }
    [[nodiscard]] NightRing ring() const {
        return {outer, outer_ground.clone(), 400, 400, inner, inner_ground};
    }
    [[nodiscard]] StackSolver<float> outside() const { return {outer.grid, outer_ground, still(sheets)}; }
    [[nodiscard]] StackSolver<float> inside() const { return {inner.grid, inner_ground, still(sheets)}; }
};

// A pool whose shores cross the edge, over gullies that the outer night's cells don't see.
TEST(NightRing, LevelPoolBeyondTheEdgeLeavesOneInsideAtRest) {
    const Nest nest({0, 0.05});
    const std::vector<double> levels{107, 105, 103};
    StackSolver<float> outside = nest.outside();
    fill_level(outside, nest.outer_ground, levels);
    NightRing ring = nest.ring();
    ring.record(outside, nest.gradient);
    StackSolver<float> inside = nest.inside();
    fill_level(inside, nest.inner_ground, levels);
    ring.lay_ground(inside);
    const double before = inside.budget().volume;
    while (inside.time() < 600) {
        ring.give(inside);
        inside.step(600 - inside.time());
    }
    EXPECT_EQ(fastest(inside), 0);  // heights here are exact in single precision
    EXPECT_EQ(inside.budget().volume, before);
}

// Where air runs down a slope a gully beyond the edge isn't filled to the level of the ground beside it.
TEST(NightRing, AirOnASlopeIsNoMoreThanTwiceAsDeepOverGullies) {
    const Nest nest({0.05, 0});
    StackSolver<float> outside = nest.outside();
    const std::vector<float> thickness{1.0F, 0.5F, 0.5F};
    for (int j = 0; j < 30; ++j) {
        for (int i = 0; i < 30; ++i) {
            for (int k = 0; k < Nest::sheets; ++k)
                outside.set_thickness(k, j, i, thickness[static_cast<std::size_t>(k)]);
        }
    }
    NightRing ring = nest.ring();
    ring.record(outside, nest.gradient);
    StackSolver<float> inside = nest.inside();
    ring.lay_ground(inside);
    ring.give(inside);
    inside.step(1);
    const auto depth = [&](int row, int col) {
        double sum = 0;
        for (int k = 0; k < Nest::sheets; ++k) sum += static_cast<double>(inside.thickness(k, row, col));
        return sum;
    };
    for (int n = 0; n < 40; ++n) {
        const bool gully = n % 13 == 6;
        for (const double ghost : {depth(-1, n), depth(40, n), depth(n, -1), depth(n, 40)}) {
            EXPECT_LT(ghost, gully ? 2 * 2.0 + 0.11 : 2.0 + 0.01) << n;  // 0.1 m is let pass anywhere
            EXPECT_GT(ghost, gully ? 1.9 * 2.0 : 2.0 - 0.01) << n;
        }
    }
}

// Between samples the stack outside changes evenly; after the last it stays.
TEST(NightRing, IsLinearBetweenSamples) {
    const Nest nest({0.05, 0});
    StackSolver<float> outside = nest.outside();
    NightRing ring = nest.ring();
    ring.set_longest_interval(100);
    std::vector<double> times{0};
    ring.record(outside, nest.gradient);
    StackParameters p = still(Nest::sheets);
    p.exchange = {true, 0.04, step_k, 0.5};
    StackSolver<float> cooling(nest.outer.grid, nest.outer_ground, p);
    cooling.set_loss(0.02);
    while (cooling.time() < 900) {
        cooling.run_until(std::min(cooling.time() + 20, 900.0));
        if (!ring.due(cooling.time(), 900)) continue;
        ring.record(cooling, nest.gradient);
        times.push_back(cooling.time());
    }
    ASSERT_EQ(ring.samples(), times.size());
    EXPECT_GE(times.size(), 10U);
    const auto depth_at = [&](double time) {
        StackSolver<float> inside = nest.inside();
        inside.run_until(time);
        ring.give(inside);
        inside.step(1e-3);
        double depth = 0;
        for (int k = 0; k < Nest::sheets; ++k) depth += static_cast<double>(inside.thickness(k, 20, -1));
        return depth;
    };
    const double first = depth_at(times[3]);
    const double second = depth_at(times[4]);
    EXPECT_GT(second, first + 0.1);
    EXPECT_NEAR(depth_at(0.75 * times[3] + 0.25 * times[4]), 0.75 * first + 0.25 * second, 1e-5);
    EXPECT_EQ(depth_at(1000), depth_at(900));
}

}  // namespace
}  // namespace lielow
