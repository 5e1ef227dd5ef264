// SPDX-License-Identifier: Apache-2.0
// A storm on a ground: where its water goes adds up, what is watched is what happens, and in the end it lies
// in the hollows.
#include "sim/storm_flow.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>

#include "sim/errors.hpp"
#include "tests/support/storm_case.hpp"

namespace lielow {
namespace {

const Grid bowl_grid{20, 25, 4.0, 4.0};

StormPlan bowl_storm(double rain_in, StormLoss loss) {
    StormPlan plan = small_storm(bowl_grid, rain_in * test_inch, 1.0, bowls);
    plan.follow_s = 0.5 * test_hour;
    plan.loss = std::move(loss);
    plan.edges.north = EdgeKind::wall;
    return plan;
}

StormLoss mixed_soils() {
    GreenAmptLosses soils{{soil_of_texture("loam", 0.3), soil_of_texture("clay", 0.6), {0, 0.1, 0.3}},
                          Field<std::uint8_t>(bowl_grid.rows, bowl_grid.cols, std::uint8_t{0})};
    for (std::size_t c = 0; c < soils.of_cell.size(); ++c)
        soils.of_cell[c] = static_cast<std::uint8_t>(c % 3);
    return soils;
}

/// Where the water went, with a gap that double precision must close.
template <class Real>
StormLedger ledger_of(StormLoss loss, double rain_in = 3) {
    return run_storm<Real>(bowl_storm(rain_in, std::move(loss))).ledger;
}

TEST(StormFlow, MassClosesInDoublePrecision) {
    const StormLedger sealed = ledger_of<double>(CurveLosses{});
    EXPECT_NEAR(sealed.rain, 3 * test_inch * 80 * 100, 1e-9 * sealed.rain);
    EXPECT_EQ(sealed.infiltrated, 0);
    EXPECT_GT(sealed.left, 0.1 * sealed.rain);
    EXPECT_GT(sealed.stored, 0.1 * sealed.rain);
    EXPECT_LT(std::abs(sealed.gap()), 1e-12);
    const StormLedger soils = ledger_of<double>(mixed_soils());
    EXPECT_GT(soils.infiltrated, 0.05 * soils.rain);
    EXPECT_LT(std::abs(soils.gap()), 1e-12);
    RecordProperty("gap_double_1e15", std::to_string(soils.gap() * 1e15));
}

TEST(StormFlow, SinglePrecisionLosesSmallChange) {
    const double gap = ledger_of<float>(mixed_soils()).gap();
    RecordProperty("gap_float_1e9", std::to_string(gap * 1e9));
    EXPECT_LT(std::abs(gap), 1e-5);
    EXPECT_GT(std::abs(gap), 1e-12);  // otherwise single precision would do
}

TEST(StormFlow, CurveNumberTakesItsShareOfTheStorm) {
    const CurveLoss loss = curve_loss(74);
    const StormLedger ledger = ledger_of<double>(CurveLosses{{loss}, {}}, 4.3);
    const double runoff_in = (1 - ledger.infiltrated / ledger.rain) * 4.3;
    EXPECT_NEAR(runoff_in, 1.82, 0.005);  // NEH 630 ch. 10, example 10-1
    EXPECT_LT(std::abs(ledger.gap()), 1e-12);
}

TEST(StormFlow, AShareRunsOff) {
    const StormLedger ledger = ledger_of<double>(ShareLoss{0.3});
    EXPECT_NEAR(ledger.infiltrated, 0.7 * ledger.rain, 1e-9 * ledger.rain);
    EXPECT_LT(std::abs(ledger.gap()), 1e-12);
}

TEST(StormFlow, FortyInchesAreSurvived) {
    const StormLedger ledger = ledger_of<double>(mixed_soils(), 40);
    EXPECT_LT(std::abs(ledger.gap()), 1e-12);
    EXPECT_GT(ledger.left, 0.8 * ledger.rain);
}

TEST(StormFlow, WaterThatStandsSoaksInAsAtAPoint) {
    // Level walled ground: no water moves, so each cell is a column of Green and Ampt's.
    StormPlan plan = small_storm({6, 7, 2, 2}, 0.05, 1, [](double, double) { return 3.0; });
    plan.edges = all_walls();
    plan.follow_s = 1 * test_hour;
    const GreenAmptSoil soil = soil_of_texture("loam", 0.3);
    plan.loss = GreenAmptLosses{{soil}, {}};
    const StormResult r = run_storm<double>(plan);
    const double first = soaks_in(soil, 0, 0, 0.05 / test_hour, test_hour);
    const double then = soaks_in(soil, first, 0.05 - first, 0, test_hour);
    EXPECT_NEAR(r.ledger.infiltrated / (42 * 4), first + then, 1e-9);
    EXPECT_LT(std::abs(r.ledger.gap()), 1e-12);
}

TEST(StormFlow, ABathFillsEvenly) {
    // Depth is rain so far, so hours deeper than an inch are known: 4 in over 4 h pass it after one.
    StormPlan plan = small_storm({5, 5, 1, 1}, 4 * test_inch, 4, [](double, double) { return 0.0; });
    plan.edges = all_walls();
    const StormResult r = run_storm<double>(plan);
    for (std::size_t c = 0; c < 25; ++c) {
        EXPECT_NEAR(r.greatest_depth[c], 4 * test_inch, 1e-6);
        EXPECT_NEAR(r.deep_hours[c], 3, 2 * plan.longest_pulse_s / test_hour);
        EXPECT_NEAR(r.peak_speed[c], 0, 1e-6);
    }
    EXPECT_NEAR(r.rain_m_s.front(), 4 * test_inch / (4 * test_hour), 1e-12);
}

/// Rain on a plane falling along x, 60 m long, until it runs off as it falls.
StormPlan plane_storm(float roughness) {
    StormPlan plan = small_storm(
        {4, 60, 1, 1}, 0.1, 1, [](double x, double) { return -0.02 * x; }, roughness);
    plan.edges = {EdgeKind::wall, EdgeKind::open, EdgeKind::wall, EdgeKind::wall};
    plan.lines = {{{45, 0}, {45, 4}}, {{45, 4}, {45, 0}}};
    return plan;
}

TEST(StormFlow, DischargeAcrossALineIsTheRainAboveIt) {
    const StormResult r = run_storm<double>(plane_storm(0.05F));
    const double steady = 0.1 / test_hour * 45 * 4;  // m³/s
    EXPECT_NEAR(r.discharge[0].back(), -steady,
                1e-3 * steady);  // flows east: from right to left, going south
    EXPECT_NEAR(r.discharge[1].back(), steady, 1e-3 * steady);
    EXPECT_NEAR(r.outflow.back(), 0.1 / test_hour * 240, 1e-3 * steady);
    // Kinematic wave: q = √S/n h^(5/3) (as tests/cases/rain.cpp).
    const double depth = std::pow(0.05 / std::sqrt(0.02) * 0.1 / test_hour * 44.5, 0.6);
    EXPECT_NEAR(r.greatest_depth(2, 44), depth, 0.02 * depth);
}

TEST(StormFlow, SpeedIsDischargeOverDepth) {
    StormPlan plan = plane_storm(0.05F);
    plan.speed_water_m = 0.002;
    const StormResult r = run_storm<double>(plan);
    const double speed = 0.1 / test_hour * 44.5 / static_cast<double>(r.greatest_depth(2, 44));
    EXPECT_NEAR(r.peak_speed(2, 44), speed, 0.02 * speed);
}

TEST(StormFlow, DeepWaterIsLessRough) {
    // n = 0.2 below 2 mm, 0.03 from 12 mm on: the steady depth under q solves q = √S/n(h) h^(5/3).
    StormPlan plan = plane_storm(0.2F);
    plan.deep = {0.03, 0.002, 0.012};
    const StormResult r = run_storm<double>(plan);
    const double q = 0.1 / test_hour * 44.5;
    double low = 0;
    double high = 0.1;
    for (int n = 0; n < 60; ++n) {
        const double h = 0.5 * (low + high);
        const double share = std::clamp((h - 0.002) / 0.010, 0.0, 1.0);
        const double roughness = 0.2 + share * (0.03 - 0.2);
        (std::sqrt(0.02) / roughness * std::pow(h, 5.0 / 3) > q ? high : low) = h;
    }
    EXPECT_GT(low, 0.003);
    EXPECT_LT(low, 0.011);
    EXPECT_NEAR(r.greatest_depth(2, 44), low, 0.03 * low);
}

TEST(StormFlow, ARingOfLineBalancesWhatItEncloses) {
    StormPlan plan = bowl_storm(3, CurveLosses{});
    // Clockwise on the map, so that the right hand is inside.
    plan.lines = {{{20, 16}, {60, 16}, {70, 50}, {30, 56}, {20, 16}}};
    const auto inside = [](double x, double y) {
        const double px[] = {20, 60, 70, 30};
        const double py[] = {16, 16, 50, 56};
        for (int n = 0; n < 4; ++n) {
            const int m = (n + 1) % 4;
            if ((px[m] - px[n]) * (y - py[n]) - (py[m] - py[n]) * (x - px[n]) < 0) return false;
        }
        return true;
    };
    // The staircase cuts cells only at its corners, so cells well inside or outside are sure; the others are
    // told by a flood from inside that the ring's faces stop.
    const std::vector<LineFace> ring = line_faces(plan.lines[0], plan.grid);
    const auto blocked = [&](bool on_x, std::int32_t row, std::int32_t col) {
        int turns = 0;
        for (const LineFace& f : ring) turns += f.on_x == on_x && f.row == row && f.col == col ? 1 : 0;
        return turns % 2 == 1;
    };
    Field<std::uint8_t> in(plan.grid.rows, plan.grid.cols, std::uint8_t{0});
    for (std::int32_t j = 0; j < plan.grid.rows; ++j) {
        bool within = false;
        for (std::int32_t i = 0; i < plan.grid.cols; ++i) {
            if (blocked(true, j, i)) within = !within;
            in(j, i) = within ? 1 : 0;
        }
    }
    EXPECT_EQ(in(9, 10), 1);
    EXPECT_TRUE(inside(41, 37));
    double stored = 0;
    double cells = 0;
    const StormResult r = run_storm<double>(plan, [&](const StormMoment&, const StackSolver<double>& solver) {
        stored = cells = 0;
        for (std::int32_t j = 0; j < plan.grid.rows; ++j) {
            for (std::int32_t i = 0; i < plan.grid.cols; ++i) {
                if (in(j, i) == 0) continue;
                stored += solver.thickness(0, j, i) * plan.grid.cell_area();
                ++cells;
            }
        }
    });
    double crossed = 0;
    double before = 0;
    for (std::size_t n = 0; n < r.times_s.size(); ++n) {
        crossed += r.discharge[0][n] * (r.times_s[n] - before);
        before = r.times_s[n];
    }
    const double rain = 3 * test_inch * cells * plan.grid.cell_area();
    EXPECT_GT(std::abs(crossed), 0.01 * rain);
    EXPECT_NEAR(crossed + rain, stored, 1e-10 * rain);
}

TEST(StormFlow, WaterLeavesWhereNoGroundIsKnown) {
    StormPlan plan = bowl_storm(3, CurveLosses{});
    plan.edges = all_walls();
    plan.outside = Field<std::uint8_t>(plan.grid.rows, plan.grid.cols, std::uint8_t{0});
    for (std::int32_t j = 0; j < plan.grid.rows; ++j) plan.outside(j, 0) = 1;
    const StormResult r = run_storm<double>(plan);
    EXPECT_NEAR(r.ledger.rain, 3 * test_inch * 80 * 96, 1e-9 * r.ledger.rain);
    EXPECT_GT(r.ledger.left, 0.05 * r.ledger.rain);
    EXPECT_LT(std::abs(r.ledger.gap()), 1e-12);
    EXPECT_EQ(r.greatest_depth(5, 0), r.greatest_depth(5, 0));
}

TEST(StormFlow, ThreadsDoNotMatter) {
    const int threads = omp_get_max_threads();
    const auto run = [](int count) {
        omp_set_num_threads(count);
        StormPlan plan = small_storm({150, 150, 1, 1}, 2 * test_inch, 1.0 / 60, bowls);
        plan.loss = GreenAmptLosses{{soil_of_texture("clay", 0.5)}, {}};
        return run_storm<double>(plan);
    };
    const StormResult one = run(1);
    const StormResult three = run(3);
    omp_set_num_threads(threads);
    EXPECT_EQ(one.ledger.left, three.ledger.left);
    EXPECT_EQ(one.ledger.infiltrated, three.ledger.infiltrated);
    EXPECT_TRUE(std::ranges::equal(one.greatest_depth.all(), three.greatest_depth.all()));
    EXPECT_TRUE(std::ranges::equal(one.peak_speed.all(), three.peak_speed.all()));
}

TEST(StormFlow, RefusesWhatCannotBe) {
    StormPlan plan = bowl_storm(1, CurveLosses{{{-0.01, 0.1}}, {}});
    EXPECT_THROW(run_storm<double>(plan), InputError);
    plan.loss = GreenAmptLosses{{{1.0, 0.1, 0.3}}, {}};  // K of a metre a second
    EXPECT_THROW(run_storm<double>(plan), InputError);
    plan.loss = ShareLoss{-0.2};
    EXPECT_THROW(run_storm<double>(plan), InputError);
    plan.loss = ShareLoss{};
    plan.roughness = Field<float>(bowl_grid.rows, bowl_grid.cols, 24.0F);
    EXPECT_THROW(run_storm<double>(plan), InputError);
}

}  // namespace
}  // namespace lielow
