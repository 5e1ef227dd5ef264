// SPDX-License-Identifier: Apache-2.0
// What crosses a field's border: its budget closes, and its sides are those of the compass.
#include "sim/border_flow.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numeric>

#include "sim/night.hpp"
#include "sim/night_watch.hpp"

namespace lielow {
namespace {

using Cover = std::function<float(double x, double y)>;

Field<float> cover_of(const Grid& grid, const Cover& cover) {
    Field<float> share(grid.rows, grid.cols, 0.0F);
    constexpr int points = 8;
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i) {
            for (int b = 0; b < points; ++b) {
                for (int a = 0; a < points; ++a)
                    share(j, i) +=
                        cover((i + (a + 0.5) / points) * grid.dx, (j + (b + 0.5) / points) * grid.dy) /
                        (points * points);
            }
        }
    }
    return share;
}

Cover disc(double x0, double y0, double radius) {
    return [=](double x, double y) { return std::hypot(x - x0, y - y0) < radius ? 1.0F : 0.0F; };
}

template <class Sums>
double total(const Sums& sums) {
    return std::accumulate(sums.begin(), sums.end(), 0.0);
}

/// Solver of one sheet, 1 m thick, that moves evenly.
StackSolver<float> moving(const Grid& grid, float u, float v) {
    StackParameters p;
    p.buoyancy = {0.1};
    StackSolver<float> solver(grid, Field<double>(grid.rows, grid.cols, 0.0), p);
    for (int j = 0; j <= grid.rows; ++j) {
        for (int i = 0; i <= grid.cols; ++i) {
            if (j < grid.rows && i < grid.cols) solver.set_thickness(0, j, i, 1);
            if (j < grid.rows) solver.set_velocity_x(0, j, i, u);
            if (i < grid.cols) solver.set_velocity_y(0, j, i, v);
        }
    }
    return solver;
}

BorderMeter metered(const Grid& grid, const Cover& cover, const RasterAxes& axes, float u, float v) {
    BorderMeter meter(grid, field_cells(grid, cover_of(grid, cover), axes), 1.0, 0.25);
    meter.before_step(moving(grid, u, v));
    meter.after_step(1);
    return meter;
}

TEST(BorderFlow, CoverIsCountedInBlocks) {
    const std::vector<std::uint32_t> cells{0, 1, 5, 7};  // of 3 rows of 5
    const std::vector<float> share{1, 0.5F, 1, 0.5F};
    const Field<float> cover = covered_share({3, 5, 1, 1}, {2, 2}, {cells, share});
    ASSERT_EQ(cover.rows(), 2);
    ASSERT_EQ(cover.cols(), 3);
    EXPECT_FLOAT_EQ(cover(0, 0), 2.5F / 4);
    EXPECT_FLOAT_EQ(cover(0, 1), 0.5F / 4);
    EXPECT_FLOAT_EQ(cover(1, 2), 0);
}

TEST(BorderFlow, AFieldSmallerThanACellIsOneCell) {
    const Grid grid{6, 6, 10, 10};
    const FieldCells field = field_cells(grid, cover_of(grid, disc(25, 35, 3)), {});
    EXPECT_EQ(field.cells, (std::vector<std::size_t>{grid.index(3, 2)}));
    EXPECT_EQ(field.border.size(), 4U);
    EXPECT_TRUE(field_cells(grid, Field<float>(6, 6, 0.0F), {}).cells.empty());
}

TEST(BorderFlow, UniformFlowThroughADisc) {
    // What comes in over the sector of 45 degrees about the bearing it comes from is 2 R sin(22.5°) of the
    // 2 R that all of it is; the two sectors beside it share the rest of the front, up to 90 degrees off.
    const Grid grid{100, 100, 1, 1};
    const double radius = 40;
    const BorderMeter meter = metered(grid, disc(50, 50, radius), {}, 0, 1);  // southward: from the north
    const BorderSums& sums = meter.sums();
    const double front = 2 * radius;
    const double centre = front * std::sin(M_PI / 8);
    const double beside = radius * (std::sin(3 * M_PI / 8) - std::sin(M_PI / 8));
    const double flank = radius * (1 - std::sin(3 * M_PI / 8));
    std::printf("disc: N %.2f (exact %.2f), NE %.2f (%.2f), E %.2f (%.2f)\n", sums.air_in_m3[0], centre,
                sums.air_in_m3[1], beside, sums.air_in_m3[2], flank);
    EXPECT_NEAR(total(sums.air_in_m3), front, 1);
    EXPECT_NEAR(sums.air_in_m3[0], centre, 1.5);
    EXPECT_NEAR(sums.air_in_m3[1], beside, 1.5);
    EXPECT_NEAR(sums.air_in_m3[7], beside, 1.5);
    EXPECT_NEAR(sums.air_in_m3[2], flank, 1.5);
    EXPECT_DOUBLE_EQ(sums.air_in_m3[4], 0);
    EXPECT_DOUBLE_EQ(sums.air_out_m3[0], 0);
    EXPECT_NEAR(sums.air_out_m3[4], centre, 1.5);
    EXPECT_DOUBLE_EQ(total(sums.air_in_m3), total(sums.air_out_m3));
    EXPECT_DOUBLE_EQ(total(sums.cold_in_k_m3), total(sums.air_in_m3)) << "one sheet, 1 K";
    EXPECT_DOUBLE_EQ(sums.low_in_k_m3[1], 0.25 * sums.cold_in_k_m3[1]) << "the lowest quarter of 1 m";
    EXPECT_DOUBLE_EQ(total(sums.face_low_in_k_m3), total(sums.low_in_k_m3));
}

TEST(BorderFlow, SidesInAllQuartersAndMirrored) {
    const Grid grid{60, 60, 2, 2};
    const auto main_side = [&](const RasterAxes& axes, float u, float v) {
        const BorderMeter meter = metered(grid, disc(60, 60, 45), axes, u, v);
        const auto& in = meter.sums().air_in_m3;
        return std::max_element(in.begin(), in.end()) - in.begin();
    };
    const RasterAxes north_up;
    EXPECT_EQ(main_side(north_up, 1, 1), 7);
    EXPECT_EQ(main_side(north_up, -1, 1), 1);
    EXPECT_EQ(main_side(north_up, -1, -1), 3);
    EXPECT_EQ(main_side(north_up, 1, -1), 5);
    EXPECT_EQ(main_side(north_up, 1, 0), 6);
    EXPECT_EQ(main_side(north_up, 0, -1), 4);
    EXPECT_EQ(main_side({1, 0, 0, 1}, 1, 1), 5);
    EXPECT_EQ(main_side({-1, 0, 0, -1}, 1, 1), 1);
}

TEST(BorderFlow, AMirroredFieldHasMirroredSums) {
    const Grid grid{50, 50, 2, 2};
    const Cover field = [](double x, double y) { return x > 20 && y > 14 && x + 2 * y < 130 ? 1.0F : 0.0F; };
    const Cover mirrored = [&](double x, double y) { return field(100 - x, y); };
    const BorderSums a = metered(grid, field, {}, 0.25F, 0.5F).sums();
    const BorderSums b = metered(grid, mirrored, {}, -0.25F, 0.5F).sums();
    for (std::size_t side = 0; side < 8; ++side) {
        const std::size_t other = (8 - side) % 8;
        EXPECT_DOUBLE_EQ(a.air_in_m3[side], b.air_in_m3[other]) << side;
        EXPECT_DOUBLE_EQ(a.air_out_m3[side], b.air_out_m3[other]) << side;
    }
}

Ground bumpy(int rows, int cols, double cell) {
    Ground ground{{rows, cols, cell, cell}, Field<float>(rows, cols), Field<std::uint8_t>(rows, cols, 1)};
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i)
            ground.z(j, i) =
                static_cast<float>(200 - 0.03 * cell * i + 4 * std::sin(0.35 * i) * std::cos(0.3 * j));
    }
    return ground;
}

TEST(BorderFlow, VolumeClosesWithoutExchange) {
    const Grid grid{40, 50, 10, 10};
    Field<double> ground(40, 50);
    for (int j = 0; j < 40; ++j) {
        for (int i = 0; i < 50; ++i) ground(j, i) = 3 * std::sin(0.4 * i) * std::cos(0.3 * j) - 0.2 * i;
    }
    StackParameters p;
    p.buoyancy = {0.1, 0.2, 0.3};
    StackSolver<float> solver(grid, ground, p);
    for (int k = 0; k < 3; ++k) {
        for (int j = 0; j < 40; ++j) {
            for (int i = 0; i < 50; ++i) solver.set_thickness(k, j, i, i + j < 45 ? 4.0F : 0.5F);
        }
    }
    BorderMeter meter(grid, field_cells(grid, cover_of(grid, disc(240, 190, 110)), {}), 1.0, 3);
    meter.count_content(solver);
    const BorderSums start = meter.sums();
    while (solver.time() < 600) {
        meter.before_step(solver);
        meter.after_step(solver.step(solver.stable_step()));
    }
    meter.count_content(solver);
    const BorderSums& end = meter.sums();
    const double in = total(end.air_in_m3), out = total(end.air_out_m3);
    const double change = end.air_content_m3 - start.air_content_m3;
    std::printf("%ld steps: in %.1f m³, out %.1f m³, change %.1f m³, residual %.2e of the inflow\n",
                static_cast<long>(solver.steps()), in, out, change, (in - out - change) / in);
    EXPECT_GT(in, 0.2 * end.air_content_m3) << "a budget of nothing closes too";
    EXPECT_NEAR((in - out - change) / in, 0, 1e-6);
    const double cold = total(end.cold_in_k_m3) - total(end.cold_out_k_m3);
    EXPECT_NEAR((cold - (end.content_k_m3 - start.content_k_m3)) / total(end.cold_in_k_m3), 0, 1e-6);
}

TEST(BorderFlow, HeatClosesOverANight) {
    const Ground ground = bumpy(24, 32, 20);
    NightSetup s;
    s.duration_s = 1.5 * 3600;
    s.reference_elevation_m = 200;
    s.cell_m = 20;
    const NightPlan plan = plan_night(ground, s);
    std::vector<BorderMeter> borders;
    borders.emplace_back(plan.grid, field_cells(plan.grid, cover_of(plan.grid, disc(330, 230, 120)), {}),
                         plan.sheet_step_k, 3);
    FlowWatch watch(plan, 3, std::move(borders));
    const NightResult night = run_night(ground, s, plan, nullptr, {}, {.observer = &watch});
    const BorderMeter& meter = watch.borders().front();
    const BorderSums& sums = meter.sums();
    const double lost = plan.loss_k_m_s * s.duration_s * plan.grid.cell_area() *
                        static_cast<double>(meter.field().cells.size());
    const double in = total(sums.cold_in_k_m3), out = total(sums.cold_out_k_m3);
    std::printf("night: cold in %.4g, out %.4g, lost %.4g, content %.4g K m³, residual %.2e of the content\n",
                in, out, lost, sums.content_k_m3, (in - out + lost - sums.content_k_m3) / sums.content_k_m3);
    EXPECT_GT(in, 0.3 * lost);
    EXPECT_NEAR((in - out + lost - sums.content_k_m3) / sums.content_k_m3, 0, 2e-5);
    // Looking on changes nothing, and the flow is kept with every state.
    const NightResult alone = run_night(ground, s, plan);
    ASSERT_EQ(watch.at_states().size(), night.states.size());
    for (std::size_t n = 0; n < night.states.size(); ++n) {
        for (std::size_t c = 0; c < night.ground.size(); ++c)
            ASSERT_EQ(night.states[n].isotherm_height[0][c], alone.states[n].isotherm_height[0][c]);
    }
    // The ground falls eastward: so does the lowest air's mean flow.
    EXPECT_GT(watch.mean().in_cell(12, 16).x, 0.05);
}

TEST(BorderFlow, WhatComesFromTheEdgeInTime) {
    const Grid grid{40, 80, 10, 10};
    const BorderMeter meter =
        metered(grid, disc(600, 200, 60), {}, 1, 0);  // its west end 540 m from the edge
    const FaceFlow flow{grid, Field<float>(40, 81, 1.0F), Field<float>(41, 80, 0.0F)};
    EXPECT_EQ(share_from_edge(flow, meter, 500), 0);
    EXPECT_EQ(share_from_edge(flow, meter, 620), 1);
    const double half = share_from_edge(flow, meter, 560);
    EXPECT_GT(half, 0.2);
    EXPECT_LT(half, 0.9);
    // 400 m of ground around are 400 s more.
    const WiderFlow wider{
        {{20, 40, 40, 40}, Field<float>(20, 41, 1.0F), Field<float>(21, 40, 0.0F)}, 400, 200};
    EXPECT_EQ(share_from_edge(flow, meter, 900, &wider), 0);
    EXPECT_EQ(share_from_edge(flow, meter, 1040, &wider), 1);
    EXPECT_NEAR(share_from_edge(flow, meter, 960, &wider), half, 0.2);
}

}  // namespace
}  // namespace lielow
