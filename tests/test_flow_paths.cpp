// SPDX-License-Identifier: Apache-2.0
// The flow of the lowest air, its directions by compass, and the paths traced through it.
#include "sim/flow_paths.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>

#include "sim/compass.hpp"
#include "sim/face_flow.hpp"

namespace lielow {
namespace {

using Function = std::function<Velocity(double x, double y)>;

FaceFlow flow_of(const Grid& grid, const Function& velocity) {
    FaceFlow flow{grid, Field<float>(grid.rows, grid.cols + 1), Field<float>(grid.rows + 1, grid.cols)};
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i <= grid.cols; ++i)
            flow.u(j, i) = static_cast<float>(velocity(i * grid.dx, (j + 0.5) * grid.dy).x);
    }
    for (int j = 0; j <= grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i)
            flow.v(j, i) = static_cast<float>(velocity((i + 0.5) * grid.dx, j * grid.dy).y);
    }
    return flow;
}

double apart(const Place& a, const Place& b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

TEST(Compass, AirComesFromWhereItLeft) {
    const RasterAxes north_up;
    // Eastward and down the rows (southward) is to the south-east, so from the north-west; and so round.
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, 1, 1), 315);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, -1, 1), 45);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, -1, -1), 135);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, 1, -1), 225);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, 0, 1), 0);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, -1, 0), 90);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, 0, -1), 180);
    EXPECT_DOUBLE_EQ(comes_from_deg(north_up, 1, 0), 270);
    EXPECT_NEAR(comes_from_deg(north_up, -std::sqrt(3.0), 1), 60, 1e-12);
}

TEST(Compass, MirroredAndTurnedRasters) {
    const RasterAxes south_up{1, 0, 0, 1};
    EXPECT_DOUBLE_EQ(comes_from_deg(south_up, 1, 1), 225);
    EXPECT_DOUBLE_EQ(comes_from_deg(south_up, 1, -1), 315);
    const RasterAxes east_first{-1, 0, 0, -1};  // columns run west
    EXPECT_DOUBLE_EQ(comes_from_deg(east_first, 1, 1), 45);
    EXPECT_DOUBLE_EQ(comes_from_deg(east_first, -1, 1), 315);
    // Turned clockwise by 30 degrees: a row runs towards 120, the rows run down towards 210.
    const double t = 30 * M_PI / 180;
    const RasterAxes turned{std::cos(t), -std::sin(t), -std::sin(t), -std::cos(t)};
    EXPECT_NEAR(bearing_deg(turned, 1, 0), 120, 1e-12);
    EXPECT_NEAR(bearing_deg(turned, 0, 1), 210, 1e-12);
    EXPECT_NEAR(comes_from_deg(turned, 1, 1), 345, 1e-12);
}

TEST(Compass, Sectors) {
    EXPECT_EQ(compass_sector(0), 0);
    EXPECT_EQ(compass_sector(22.4), 0);
    EXPECT_EQ(compass_sector(22.6), 1);
    EXPECT_EQ(compass_sector(180), 4);
    EXPECT_EQ(compass_sector(337.4), 7);
    EXPECT_EQ(compass_sector(337.6), 0);
    EXPECT_EQ(compass_sector(359.999), 0);
}

TEST(FaceFlow, LinearFlowIsReadExactly) {
    const Grid grid{9, 14, 3, 5};
    const Function linear = [](double x, double y) { return Velocity{1 + 0.5 * x - 0.25 * y, 2 - x + y}; };
    const FaceFlow flow = flow_of(grid, linear);
    for (const auto& [x, y] : {std::pair(11.3, 17.9), std::pair(20.0, 7.5), std::pair(39.9, 40.1)}) {
        EXPECT_NEAR(flow.at(x, y).x, linear(x, y).x, 1e-5);
        EXPECT_NEAR(flow.at(x, y).y, linear(x, y).y, 1e-5);
    }
    EXPECT_NEAR(flow.in_cell(2, 3).x, linear(10.5, 12.5).x, 1e-5);
    EXPECT_NEAR(flow.in_cell(2, 3).y, linear(10.5, 12.5).y, 1e-5);
}

TEST(FaceFlow, LowestAirIsWeighedByItsDepth) {
    const Grid grid{3, 4, 10, 10};
    StackParameters p;
    p.buoyancy = {0.1, 0.2};
    StackSolver<float> solver(grid, Field<double>(3, 4, 0.0), p);
    for (int j = 0; j < 3; ++j) {
        for (int i = 0; i < 4; ++i) {
            solver.set_thickness(0, j, i, 5);
            solver.set_thickness(1, j, i, 2);
            solver.set_velocity_x(0, j, i, 0.8F);
            solver.set_velocity_x(1, j, i, 0.2F);
        }
    }
    // 2 m at 0.2 m/s below 1 m at 0.8 m/s; then the same calm for three times as long.
    LowestAir air(grid, 3);
    air.add(solver, 10);
    EXPECT_NEAR(air.mean().u(1, 2), (2 * 0.2 + 1 * 0.8) / 3, 1e-6);
    for (int i = 0; i < 4; ++i) solver.set_velocity_x(0, 1, i, 0), solver.set_velocity_x(1, 1, i, 0);
    air.add(solver, 30);
    EXPECT_NEAR(air.mean().u(1, 2), (2 * 0.2 + 1 * 0.8) / 12, 1e-6);
    EXPECT_EQ(air.mean().v(1, 2), 0);
}

TEST(FlowPaths, UniformFlowRunsStraightToTheEdge) {
    const FaceFlow flow = flow_of({20, 30, 10, 10}, [](double, double) { return Velocity{0.3, 0.4}; });
    PathRules rules;
    rules.step = 7;
    const FlowPath down = trace_path(flow, {60, 40}, rules);
    EXPECT_EQ(down.end, PathEnd::edge);
    EXPECT_NEAR(down.places.back().x, 60 + 120, 1e-4);
    EXPECT_NEAR(down.places.back().y, 200, 1e-9);
    EXPECT_NEAR(down.seconds, 400, 1e-3);
    rules.upstream = true;
    const FlowPath up = trace_path(flow, {60, 40}, rules);
    EXPECT_EQ(up.end, PathEnd::edge);
    EXPECT_NEAR(up.places.back().x, 30, 1e-4);
    EXPECT_NEAR(up.places.back().y, 0, 1e-9);
    rules.latest = 30;
    EXPECT_EQ(trace_path(flow, {60, 40}, rules).end, PathEnd::limit);
}

TEST(FlowPaths, SolidRotationClosesWithOrderFour) {
    const Grid grid{40, 40, 10, 10};
    const FaceFlow flow = flow_of(grid, [](double x, double y) { return Velocity{-(y - 200), x - 200}; });
    const double radius = 120;
    double before = 0;
    for (const int steps : {8, 16, 32}) {
        PathRules rules;
        rules.step = 2 * M_PI * radius / steps;
        rules.stop = [steps](const Place&, std::size_t made) { return made > std::size_t(steps); };
        const FlowPath path = trace_path(flow, {200 + radius, 200}, rules);
        ASSERT_EQ(path.places.size(), std::size_t(steps) + 1);
        const double miss = apart(path.places.front(), path.places.back()) / radius;
        std::printf("solid rotation, %d steps a turn: misses its start by %.3e of the radius, order %.2f\n",
                    steps, miss, before > 0 ? std::log2(before / miss) : 0.0);
        if (before > 0) {
            EXPECT_GT(std::log2(before / miss), 3.9);
        }
        before = miss;
    }
    EXPECT_LT(before, 1e-4);
}

TEST(FlowPaths, EndAtRestWhereTheFlowRunsTogether) {
    // A hollow that everything runs into, off the middle of its cell.
    const FaceFlow flow = flow_of({40, 40, 10, 10}, [](double x, double y) {
        return Velocity{203 - x, 0.5 * (187 - y)};
    });
    PathRules rules;
    rules.step = 5;
    for (const Place start : {Place{10, 20}, Place{390, 35}, Place{203, 390}, Place{300, 187}}) {
        const FlowPath path = trace_path(flow, start, rules);
        EXPECT_EQ(path.end, PathEnd::rest);
        EXPECT_LT(apart(path.places.back(), {203, 187}), rules.step);
    }
}

/// Nearest distance between two paths.
double nearest(const SpacedPath& a, const SpacedPath& b) {
    double least = 1e9;
    for (const Place& p : a.places) {
        for (const Place& q : b.places) least = std::min(least, apart(p, q));
    }
    return least;
}

TEST(FlowPaths, CoverTheGroundEvenly) {
    const FaceFlow flow = flow_of({40, 60, 10, 10}, [](double, double) { return Velocity{0.4, 0.3}; });
    const double separation = 50;
    const auto paths = spaced_paths(flow, separation, 0.01);
    ASSERT_GT(paths.size(), 5U);
    for (std::size_t a = 0; a < paths.size(); ++a) {
        EXPECT_EQ(paths[a].end, PathEnd::edge);
        EXPECT_NEAR(paths[a].mean_speed, 0.5, 1e-3);
        EXPECT_GT(paths[a].places.back().x, paths[a].places.front().x) << "drawn downstream";
        for (std::size_t b = 0; b < a; ++b) EXPECT_GE(nearest(paths[a], paths[b]), 0.999 * separation);
    }
    for (double y = 100; y <= 300; y += 10) {
        for (double x = 100; x <= 500; x += 10) {
            double least = 1e9;
            for (const SpacedPath& path : paths) {
                for (const Place& p : path.places) least = std::min(least, apart(p, {x, y}));
            }
            EXPECT_LT(least, separation) << x << ", " << y;
        }
    }
}

TEST(FlowPaths, ARingIsDrawnOnce) {
    const FaceFlow flow = flow_of({40, 40, 10, 10}, [](double x, double y) {
        return Velocity{-(y - 200), x - 200};
    });
    const auto paths = spaced_paths(flow, 40, 0.01);
    ASSERT_GT(paths.size(), 3U);
    for (const SpacedPath& path : paths) {
        double length = 0;
        for (std::size_t n = 1; n < path.places.size(); ++n)
            length += apart(path.places[n - 1], path.places[n]);
        const double radius = apart(path.places.front(), {200, 200});
        EXPECT_LT(length, 2 * M_PI * radius) << "radius " << radius;
    }
}

TEST(FlowPaths, StillAirHasNone) {
    EXPECT_TRUE(
        spaced_paths(flow_of({9, 9, 10, 10}, [](double, double) { return Velocity{}; }), 20, 0.01).empty());
}

}  // namespace
}  // namespace lielow
