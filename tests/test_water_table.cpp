// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "sim/errors.hpp"
#include "tests/support/convergence.hpp"
#include "tests/support/falling_table.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;
constexpr double any_error = std::numeric_limits<double>::infinity();
constexpr float none = std::numeric_limits<float>::quiet_NaN();

Soil even_soil(const Grid& grid, double conductivity_m_day, double porosity, double floor_depth) {
    Soil soil;
    soil.conductivity_m_s = Field<float>(grid.rows, grid.cols, static_cast<float>(conductivity_m_day / day));
    soil.drainable_porosity = Field<float>(grid.rows, grid.cols, static_cast<float>(porosity));
    soil.floor_depth_m = Field<float>(grid.rows, grid.cols, static_cast<float>(floor_depth));
    return soil;
}

/// A strip of `cols` cells with an open ditch at each end whose water stands `ditch_depth` down.
struct Strip {
    Strip(int cols, double spacing, double conductivity_m_day, double porosity, double floor_depth,
          double ditch_depth)
        : grid{1, cols, spacing / (cols - 1), 1.0}, z(1, cols, 0.0F) {
        drains.ditch_depth_m = Field<float>(1, cols, none);
        drains.ditch_depth_m[0] = drains.ditch_depth_m[static_cast<std::size_t>(cols) - 1] =
            static_cast<float>(ditch_depth);
        soil = even_soil(grid, conductivity_m_day, porosity, floor_depth);
    }
    [[nodiscard]] WaterTable table() const { return {grid, z, soil, drains}; }

    Grid grid;
    Field<float> z;
    Soil soil;
    GroundDrains drains;
};

void run(WaterTable& table, double seconds, int steps, double recharge_m_s = 0) {
    const std::vector<double> recharge(table.size(), recharge_m_s);
    for (int i = 0; i < steps; ++i) ASSERT_TRUE(table.step(seconds / steps, recharge, any_error).taken);
}

/// Greatest error after 5 days of Boussinesq's decay, K = 0.5 m/day, porosity 0.06, 20 m between drains, 1 m
/// high at first.
double boussinesq_error(int cols, int steps) {
    const Strip strip(cols, 20, 0.5, 0.06, 2.0, 2.0);
    WaterTable table = strip.table();
    Field<float> depth(1, cols);
    for (int i = 0; i < cols; ++i)
        depth(0, i) = static_cast<float>(2.0 - test::boussinesq_shape(i / (cols - 1.0)));
    table.start(depth);
    run(table, 5 * day, steps);
    const double high = test::boussinesq_decay(0.5, 1.0, 0.06, 20, 5);
    double worst = 0;
    for (int i = 0; i < cols; ++i) {
        const double exact = high * test::boussinesq_shape(i / (cols - 1.0));
        worst = std::max(worst, std::abs(table.thickness_m()[static_cast<std::size_t>(i)] - exact));
    }
    return worst;
}

// Boussinesq (1904); the constant is printed as 4.46 in handbooks (ILRI Publication 16, from memory).
TEST(WaterTable, BoussinesqDecayConvergesInTime) {
    EXPECT_NEAR(test::boussinesq_constant(), 4.46, 0.005);
    EXPECT_NEAR(test::boussinesq_decay(0.5, 1.0, 0.06, 20, 5), 0.68269, 1e-5);
    ConvergenceStudy study{"Boussinesq decay, 201 cells, step in days", {}, {}};
    for (const int steps : {5, 10, 20, 40}) study.add(5.0 / steps, boussinesq_error(201, steps));
    study.print();
    EXPECT_GT(study.last_order(), 0.9);
    EXPECT_LT(study.error.back(), 5e-3);
}

TEST(WaterTable, BoussinesqDecayConvergesInSpace) {
    ConvergenceStudy study{"Boussinesq decay, step as the square of the cell", {}, {}};
    for (const int n : {10, 20, 40}) study.add(20.0 / n, boussinesq_error(n + 1, n * n / 2));
    study.print();
    EXPECT_GT(study.last_order(), 1.2);
    EXPECT_LT(study.error.back(), 1e-3);
}

/// A ripple of 1 cm on 150 m of water decays as exp(−π² K D t/(μ L²)) (Glover-Dumm; Kraijenhoff 1958): the
/// linear limit.
double ripple_error(int cols, int steps) {
    const Strip strip(cols, 20, 0.005, 0.06, 151, 1.0);
    WaterTable table = strip.table();
    Field<float> depth(1, cols);
    const double amplitude = 0.01;
    const auto wave = [&](int i) { return std::sin(std::numbers::pi * i / (cols - 1.0)); };
    for (int i = 0; i < cols; ++i) depth(0, i) = static_cast<float>(1.0 - amplitude * wave(i));
    table.start(depth);
    run(table, 3 * day, steps);
    const double left = std::exp(-std::numbers::pi * std::numbers::pi * 0.005 * 150 * 3 / (0.06 * 400));
    double worst = 0;
    for (int i = 0; i < cols; ++i) {
        const double found = (table.thickness_m()[static_cast<std::size_t>(i)] - 150) / amplitude;
        worst = std::max(worst, std::abs(found - left * wave(i)));
    }
    return worst;
}

TEST(WaterTable, LinearRippleConvergesAsSecondOrderInSpaceFirstInTime) {
    ConvergenceStudy study{"linear ripple, step as the square of the cell", {}, {}};
    for (const int n : {8, 16, 32}) study.add(20.0 / n, ripple_error(n + 1, n * n / 2));
    study.print();
    EXPECT_GT(study.last_order(), 1.85);
    EXPECT_LT(study.error.back(), 2e-3);
}

// Drains on the floor under steady rain: L² = 4 K h²/q, an ellipse (Hooghoudt 1940 with nothing below the
// drains). On a level floor the scheme has it exactly.
TEST(WaterTable, SteadyRainBetweenDrainsOnTheFloorIsExact) {
    const Strip strip(11, 10.142, 0.5, 0.06, 2.0, 2.0);
    WaterTable table = strip.table();
    run(table, 1e7 * day, 12, 0.007 / day);
    EXPECT_NEAR(table.thickness_m()[5], 0.6, 2e-5);
    for (int i = 0; i < 11; ++i) {
        const double x = 10.142 * i / 10.0;
        EXPECT_NEAR(table.thickness_m()[static_cast<std::size_t>(i)],
                    std::sqrt(0.007 / 0.5 * x * (10.142 - x)), 1e-6);
    }
}

/// Rain on a level strip too shallow for its ellipse: in the middle the ground is full and the rain runs off,
/// beside the ditches s² = T² − (a − x)² R/K with a = T √(K/R) (the obstacle problem in s², tangent where it
/// touches). Error of the ditches' share.
double full_middle_error(int n) {
    const double length = 40, thick = 1.0, k = 0.5, rain = 0.007;
    const Strip strip(n + 1, length, k, 0.06, thick, thick);
    WaterTable table = strip.table();
    run(table, 1e3 * day, 200, rain / day);
    const auto before = table.balance();
    run(table, day, 1, rain / day);
    const double to_ditches = table.balance().to_ditches_m3 - before.to_ditches_m3;
    const double a = thick * std::sqrt(k / rain);
    // Rain on half of a ditch's own cell never enters the ground between them.
    const double own = rain * strip.grid.dx;
    return std::abs(to_ditches - own - 2 * a * rain) / (2 * a * rain);
}

// On nodes dx apart the touching point is found to within θ(1 − θ) dx²/(2a), θ its place between two nodes.
TEST(WaterTable, FullGroundLetsTheRestOut) {
    ConvergenceStudy study{"full middle: share of the rain that reaches the ditches", {}, {}};
    const double a = std::sqrt(0.5 / 0.007);
    for (const int n : {20, 40, 80, 160}) {
        study.add(40.0 / n, full_middle_error(n));
        EXPECT_LE(study.error.back(), study.cell.back() * study.cell.back() / (8 * a * a) * 1.02);
    }
    study.print();
}

TEST(WaterTable, LevelWaterOverUnevenFloorRests) {
    const Grid grid{12, 15, 3.0, 2.0};
    Field<float> z = test::noise(12, 15, 3);
    for (float& value : z.all()) value = 100 + 0.5F * std::fmod(std::abs(value), 1.0F);
    const Soil soil = even_soil(grid, 1.0, 0.05, 1.5);
    GroundDrains drains;
    WaterTable table(grid, z, soil, drains);
    Field<float> depth(12, 15);
    // A wall all round: its floor is the highest.
    for (int row = 0; row < 12; ++row) {
        for (int col = 0; col < 15; ++col) {
            const bool rim = row == 0 || col == 0 || row == 11 || col == 14;
            if (rim) z(row, col) = 101;
            depth(row, col) = z(row, col) - 100.0F;
        }
    }
    table = WaterTable(grid, z, soil, drains);
    table.start(depth);
    const std::vector<double> before(table.thickness_m().begin(), table.thickness_m().end());
    run(table, 30 * day, 3);
    for (std::size_t i = 0; i < before.size(); ++i) EXPECT_NEAR(table.thickness_m()[i], before[i], 1e-5);
}

/// Rough ground, soil that changes from cell to cell, steps of days: the worst a solver may meet.
struct Rough {
    Rough() : grid{40, 50, 3.0, 2.0}, z(test::fractal(40, 50, 7)) {
        soil = even_soil(grid, 1.0, 0.05, 1.5);
        drains.ditch_depth_m = Field<float>(40, 50, none);
        drains.drain_depth_m = drains.ditch_depth_m.clone();
        drains.linear_m2_s = Field<float>(40, 50, 0.0F);
        for (std::size_t i = 0; i < z.size(); ++i) {
            soil.conductivity_m_s[i] *= i % 3 == 0 ? 30.0F : 0.3F;
            soil.drainable_porosity[i] *= i % 5 == 0 ? 3.0F : 1.0F;
            soil.floor_depth_m[i] *= i % 7 == 0 ? 0.2F : 1.0F;
            if (i % 50 == 20) drains.ditch_depth_m[i] = 0.9F;
            if (i % 50 == 35) {
                drains.drain_depth_m[i] = 0.8F;
                drains.linear_m2_s[i] = 1e-5F;
            }
        }
        z(5, 5) = none;
    }
    Grid grid;
    Field<float> z;
    Soil soil;
    GroundDrains drains;
};

TEST(WaterTable, StaysBetweenFloorAndSurfaceAndLosesNoWater) {
    const Rough rough;
    WaterTable table(rough.grid, rough.z, rough.soil, rough.drains);
    EXPECT_EQ(table.size(), 40U * 50U - 1U);
    run(table, 10 * day, 10, 0.01 / day);
    run(table, 400 * day, 10);
    for (std::size_t i = 0; i < table.size(); ++i) {
        EXPECT_GE(table.thickness_m()[i], 0.0);
        EXPECT_LE(table.thickness_m()[i], table.floor_depth_m()[i]);
    }
    const WaterTableBalance& sum = table.balance();
    EXPECT_LT(std::abs(sum.residual_m3()), 1e-7 * sum.stored_at_start_m3);
    std::printf("water balance: residual %.2e of what there was\n",
                sum.residual_m3() / sum.stored_at_start_m3);
    for (const double part : {sum.to_ditches_m3, sum.to_drains_m3, sum.to_surface_m3, sum.over_edges_m3})
        EXPECT_GT(part, 0.01 * sum.stored_at_start_m3);
    const Field<float> depth = table.table_depth();
    EXPECT_TRUE(std::isnan(depth(5, 5)));
    for (int row = 0; row < 40; ++row)
        EXPECT_GE(depth(row, 20), std::min(0.9F, rough.soil.floor_depth_m(row, 20)));
}

TEST(WaterTable, SameBitsForAnyNumberOfThreads) {
    const Rough rough;
    const auto after = [&](int threads) {
        const int before = omp_get_max_threads();
        omp_set_num_threads(threads);
        WaterTable table(rough.grid, rough.z, rough.soil, rough.drains);
        run(table, 5 * day, 5, 0.002 / day);
        omp_set_num_threads(before);
        return std::pair(std::vector<double>(table.thickness_m().begin(), table.thickness_m().end()),
                         table.balance().to_drains_m3);
    };
    EXPECT_EQ(after(1), after(3));
}

// A long slope drains at the speed of its thin layer: K · slope · thickness over its lower edge.
TEST(WaterTable, AnEvenSlopeRunsOutOverItsLowerEdge) {
    const Grid grid{1, 30, 5.0, 1.0};
    Field<float> z(1, 30);
    for (int i = 0; i < 30; ++i) z(0, i) = 50.0F - 0.5F * static_cast<float>(i);  // 10 %
    WaterTable table(grid, z, even_soil(grid, 2.0, 0.1, 1.0));
    table.start(Field<float>(1, 30, 0.5F));
    run(table, 0.01 * day, 1);
    EXPECT_NEAR(table.balance().over_edges_m3, 2.0 * 0.1 * 0.5 * 0.01, 1e-5);
    EXPECT_NEAR(table.thickness_m()[28], 0.5, 1e-9) << "as much comes from above as leaves";
    EXPECT_LT(table.thickness_m()[0], 0.5) << "nothing comes from beyond the top";
}

TEST(WaterTable, FillRaisesItByTheDrainablePorosity) {
    const Grid grid{1, 3, 5.0, 5.0};
    WaterTable table(grid, Field<float>(1, 3, 10.0F), even_soil(grid, 1.0, 0.05, 2.0));
    table.start(Field<float>(1, 3, 1.0F));
    Field<float> left;
    Field<float> water(1, 3, 0.0F);
    water[1] = 0.02F;
    water[2] = 0.08F;
    table.fill(water, left);
    EXPECT_NEAR(table.table_depth()[0], 1.0, 1e-6);
    EXPECT_NEAR(table.table_depth()[1], 0.6, 1e-6);
    EXPECT_NEAR(table.table_depth()[2], 0.0, 1e-6);
    EXPECT_NEAR(left[2], 0.03, 1e-6);
}

std::string refusal(double conductivity) {
    try {
        check_conductivity(conductivity);
        return "accepted";
    } catch (const InputError& error) {
        return error.what();
    }
}

TEST(WaterTable, AConductivityInAnotherUnitIsRefusedWithAHint) {
    EXPECT_EQ(refusal(7e-6), "accepted");
    EXPECT_NE(refusal(25).find("25 mm/h"), std::string::npos) << refusal(25);
    EXPECT_NE(refusal(50).find("50 cm/day"), std::string::npos) << refusal(50);
    EXPECT_NE(refusal(7.2).find("7.2 um/s"), std::string::npos) << refusal(7.2);
    EXPECT_NE(refusal(2e-13).find("divided twice"), std::string::npos) << refusal(2e-13);
    EXPECT_NE(refusal(0).find("can't be"), std::string::npos);
    EXPECT_NE(refusal(std::nan("")).find("can't be"), std::string::npos);
    EXPECT_THROW(check_drainable_porosity(0), InputError);
    EXPECT_THROW(check_drainable_porosity(6), InputError);
    EXPECT_NO_THROW(check_drainable_porosity(0.06));
}

TEST(WaterTable, SoilThatCannotBeIsRefused) {
    const Grid grid{1, 3, 5.0, 5.0};
    const Field<float> z(1, 3, 10.0F);
    Soil soil = even_soil(grid, 1.0, 0.05, 2.0);
    soil.floor_depth_m[2] = 0;
    EXPECT_THROW(WaterTable(grid, z, soil), InputError);
    soil = even_soil(Grid{1, 4, 5.0, 5.0}, 1.0, 0.05, 2.0);
    EXPECT_THROW(WaterTable(grid, z, soil), InputError);
}

}  // namespace
}  // namespace lielow
