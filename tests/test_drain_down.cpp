// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_down.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/errors.hpp"
#include "tests/support/falling_table.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;
constexpr double inch = 0.0254;
constexpr double foot = 0.3048;

Soil even_soil(const Grid& grid, double conductivity_m_s, double porosity, double floor_depth) {
    Soil soil;
    soil.conductivity_m_s = Field<float>(grid.rows, grid.cols, static_cast<float>(conductivity_m_s));
    soil.drainable_porosity = Field<float>(grid.rows, grid.cols, static_cast<float>(porosity));
    soil.floor_depth_m = Field<float>(grid.rows, grid.cols, static_cast<float>(floor_depth));
    return soil;
}

DrainDownStart start_at(const Grid& grid, double depth, double infiltrated, double ponded, double room) {
    const auto even = [&](double value) {
        return Field<float>(grid.rows, grid.cols, static_cast<float>(value));
    };
    return {even(depth), even(infiltrated), even(ponded), even(room)};
}

// Every bowl loses conductivity + evaporation a unit of wet area, so its depth falls at K + E.
TEST(DrainDown, APondOverDeepWaterFallsAtConductivityPlusEvaporation) {
    const Grid grid{3, 3, 2.0, 2.0};
    const double k = 1e-6;
    const double e = 5e-8;
    const Soil soil = even_soil(grid, k, 0.05, 5.0);
    WaterTable table(grid, Field<float>(3, 3, 100.0F), soil);
    DrainDownOptions options;
    options.days = 2;
    options.evaporation_m_s = e;
    const DrainDownResult result = drain_down(table, soil, start_at(grid, 5, 0, 0.05, 0.1), options);
    EXPECT_NEAR(result.drain_days[4], 0.05 / (k + e) / day, 0.02);
    EXPECT_NEAR(result.pond_soaked_m3, 36 * 0.05 * k / (k + e), 1e-6);
    EXPECT_NEAR(result.pond_evaporated_m3, 36 * 0.05 * e / (k + e), 1e-6);
    EXPECT_NEAR(table.table_depth()[4], 5 - 0.05 * k / (k + e) / 0.05, 1e-5);
    EXPECT_LT(std::abs(result.residual_m3()), 1e-9);
}

// Roots of 0.75 m on a bed of 0.8 m reach to 5 cm above the ground: they are free once a pond of 10 cm, which
// falls at K + E, is down to that. Without a pond a bed counts as so much less depth of roots.
TEST(DrainDown, ABedLiftsRootsOutOfAPond) {
    const Grid grid{3, 3, 2.0, 2.0};
    const double k = 1e-6;
    const double e = 5e-8;
    const Soil soil = even_soil(grid, k, 0.05, 5.0);
    WaterTable table(grid, Field<float>(3, 3, 100.0F), soil);
    DrainDownOptions options;
    options.days = 2;
    options.evaporation_m_s = e;
    options.bed_height_m = Field<float>(3, 3, 0.8F);
    options.bed_height_m[0] = 0;
    const DrainDownResult result = drain_down(table, soil, start_at(grid, 5, 0, 0.1, 0.15), options);
    EXPECT_NEAR(result.drain_days[4], 0.05 / (k + e) / day, 0.001);
    EXPECT_NEAR(result.drain_days[0], 0.1 / (k + e) / day, 0.02);
}

TEST(DrainDown, APondOverFullGroundWithoutAWayOutOnlyDriesUp) {
    const Grid grid{3, 3, 2.0, 2.0};
    const Soil soil = even_soil(grid, 1e-6, 0.05, 1.0);
    WaterTable table(grid, Field<float>(3, 3, 100.0F), soil);
    DrainDownOptions options;
    options.days = 3;
    options.evaporation_m_s = 0.005 / day;
    const DrainDownResult result = drain_down(table, soil, start_at(grid, 0, 0, 0.05, 0.1), options);
    EXPECT_FLOAT_EQ(result.drain_days[4], 3.0F);
    EXPECT_NEAR(result.ponded_m[4], 0.05 - 3 * 0.005, 1e-4);
    EXPECT_LT(std::abs(result.residual_m3()), 1e-9);
}

// What the ground can't take stays in a hollow up to its rim; the rest runs off.
TEST(DrainDown, WhatFindsNoRoomRunsOff) {
    const Grid grid{1, 2, 2.0, 2.0};
    const Soil soil = even_soil(grid, 1e-6, 0.05, 1.0);
    WaterTable table(grid, Field<float>(1, 2, 100.0F), soil);
    DrainDownStart start = start_at(grid, 1, 0.09, 0, 0);
    start.pond_room_m[1] = 0.03F;
    DrainDownOptions options;
    options.days = 1;
    const DrainDownResult result = drain_down(table, soil, start, options);
    EXPECT_NEAR(result.ran_off_m3, 4 * (0.04 + 0.01), 1e-6);
    EXPECT_NEAR(result.ponded_m[1], 0.03, 1e-6);
    EXPECT_FLOAT_EQ(result.ponded_m[0], 0.0F);
    EXPECT_LT(std::abs(result.residual_m3()), 1e-9);
}

/// Midway between drains on the restrictive layer 20 m apart, from 1 m high on.
struct Midway {
    double drained_days = 0;  ///< until it is 0.6 m high
    double worst_m = 0;       ///< of ten daily heights, against Boussinesq
    int steps = 0;
};

Midway midway(double step_error_m) {
    const int cols = 81;
    const Grid grid{1, cols, 20.0 / (cols - 1), 1.0};
    const Soil soil = even_soil(grid, 0.5 / day, 0.06, 2.0);
    GroundDrains drains;
    drains.ditch_depth_m = Field<float>(1, cols, std::nanf(""));
    drains.ditch_depth_m[0] = drains.ditch_depth_m[cols - 1] = 2.0F;
    WaterTable table(grid, Field<float>(1, cols, 0.0F), soil, drains);
    DrainDownStart start = start_at(grid, 1, 0, 0, 0);
    for (int i = 0; i < cols; ++i)
        start.table_depth_m(0, i) = static_cast<float>(2 - test::boussinesq_shape(i / (cols - 1.0)));
    DrainDownOptions options;
    options.root_depth_m = 1.4;
    options.days = 10;
    options.step_error_m = step_error_m;
    Midway found;
    options.each_day = [&](int d, const Field<float>& depth) {
        const double height = 2.0 - static_cast<double>(depth(0, cols / 2));
        found.worst_m =
            std::max(found.worst_m, std::abs(height - test::boussinesq_decay(0.5, 1, 0.06, 20, d)));
    };
    const DrainDownResult result = drain_down(table, soil, start, options);
    EXPECT_LT(std::abs(result.residual_m3()), 1e-7);
    EXPECT_FLOAT_EQ(result.drain_days(0, 0), 0.0F);
    found.drained_days = static_cast<double>(result.drain_days(0, cols / 2));
    found.steps = result.steps;
    return found;
}

// Boussinesq 1904, K = 0.5 m/day, porosity 0.06: from 1 m to 0.6 m in (1/0.6 − 1)/(4.46209 K h0/(μ L²)) =
// 7.1715 days.
TEST(DrainDown, TheClockAgreesWithBoussinesq) {
    std::printf(
        "| step error, mm | steps in 10 days | worst daily height, mm | clock, days (exact 7.1715) |\n");
    Midway found;
    for (const double step_error : {4e-3, 1e-3, 2.5e-4, 6.25e-5}) {
        const double before = found.worst_m;
        found = midway(step_error);
        std::printf("| %.4g | %d | %.2f | %.3f |\n", 1e3 * step_error, found.steps, 1e3 * found.worst_m,
                    found.drained_days);
        // Four times less in a step is half the step: backward Euler is off by half as much.
        if (before > 0) {
            EXPECT_LT(found.worst_m, 0.65 * before);
        }
    }
    EXPECT_NEAR(found.drained_days, 7.1715, 0.07);
}

TEST(DrainDown, ATighterStepErrorComesCloser) {
    const auto drained = [](double step_error) {
        const Grid grid{1, 41, 0.5, 1.0};
        const Soil soil = even_soil(grid, 0.5 / day, 0.06, 2.0);
        GroundDrains drains;
        drains.ditch_depth_m = Field<float>(1, 41, std::nanf(""));
        drains.ditch_depth_m[0] = drains.ditch_depth_m[40] = 1.2F;
        WaterTable table(grid, Field<float>(1, 41, 0.0F), soil, drains);
        DrainDownOptions options;
        options.days = 4;
        options.step_error_m = step_error;
        drain_down(table, soil, start_at(grid, 0, 0, 0, 0), options);
        return table.thickness_m()[20];
    };
    const double fine = drained(2e-5);
    const double off = std::abs(drained(0.02) - fine);
    const double closer = std::abs(drained(0.002) - fine);
    std::printf("step error 20 mm: off by %.2f mm; 2 mm: %.2f mm\n", 1000 * off, 1000 * closer);
    EXPECT_LT(closer, 0.5 * off);
    EXPECT_LT(off, 0.03);
}

/// A section from a hilltop of 4 % over a slope of 8 % down to a level bottom with a shallow ditch at its far
/// end.
struct Hillside {
    Hillside() : grid{1, 100, 4.0, 4.0}, z(1, 100) {
        for (int i = 0; i < 100; ++i) {
            const double x = 4.0 * i;
            const double fall = x < 60 ? 0.04 * x : 2.4 + 0.08 * std::min(x - 60, 200.0);
            z(0, i) = static_cast<float>(40 - fall);
        }
        soil = even_soil(grid, 7.2e-6, 0.08, 6.0);
        drains.ditch_depth_m = Field<float>(1, 100, std::nanf(""));
        drains.ditch_depth_m[99] = 0.3F;
    }
    Grid grid;
    Field<float> z;
    Soil soil;
    GroundDrains drains;
};

// Common practice, no source: a day after 2.8 in of rain a well-drained silt loam hilltop has no water within
// 6 ft, while in a poorly drained bottom it still stands high after seven days. Silt loam 7.2 µm/s (Clapp &
// Hornberger 1978, from memory), drainable porosity 0.08, restrictive layer at 6 m, the table before the
// storm held up by 0.5 mm a day.
TEST(DrainDown, HilltopIsFreeInADayAndTheBottomStillWetAfterAWeek) {
    const Hillside hill;
    WaterTable table(hill.grid, hill.z, hill.soil, hill.drains);
    settle_table(table, 0.0005 / day);
    DrainDownStart start;
    start.table_depth_m = table.table_depth();
    start.infiltrated_m = Field<float>(1, 100, static_cast<float>(2.8 * inch));
    DrainDownOptions options;
    options.days = 7;
    std::vector<Field<float>> days;
    options.each_day = [&](int, const Field<float>& depth) { days.push_back(depth.clone()); };
    const DrainDownResult result = drain_down(table, hill.soil, start, options);
    std::printf(
        "before, day 1, day 7 (m): hilltop %.2f %.2f %.2f, mid-slope %.2f %.2f %.2f, bottom %.2f %.2f %.2f\n",
        start.table_depth_m(0, 3), days[0](0, 3), days[6](0, 3), start.table_depth_m(0, 40), days[0](0, 40),
        days[6](0, 40), start.table_depth_m(0, 80), days[0](0, 80), days[6](0, 80));
    for (int i = 0; i < 10; ++i) EXPECT_GT(days[0](0, i), 6 * foot) << "hilltop, cell " << i;
    for (int i = 68; i < 90; ++i) EXPECT_LT(days[6](0, i), 1.5 * foot) << "bottom, cell " << i;
    EXPECT_FLOAT_EQ(result.drain_days(0, 3), 0.0F);
    EXPECT_FLOAT_EQ(result.drain_days(0, 80), 7.0F);
    EXPECT_LT(std::abs(result.residual_m3()), 1e-6);
}

TEST(DrainDown, ShallowGroundCountsAsFreeAboveItsLastFilm) {
    EXPECT_DOUBLE_EQ(free_depth(0.75, 2.0), 0.75);
    EXPECT_DOUBLE_EQ(free_depth(0.75, 0.5), 0.45);
}

TEST(DrainDown, StopsWhereTheCallerThrows) {
    const Grid grid{1, 2, 2.0, 2.0};
    const Soil soil = even_soil(grid, 1e-6, 0.05, 1.0);
    WaterTable table(grid, Field<float>(1, 2, 100.0F), soil);
    DrainDownOptions options;
    options.each_step = [](double) { throw Interrupted(); };
    EXPECT_THROW(drain_down(table, soil, start_at(grid, 0, 0, 0, 0), options), Interrupted);
    options.days = 0;
    EXPECT_THROW(drain_down(table, soil, start_at(grid, 0, 0, 0, 0), options), InputError);
}

}  // namespace
}  // namespace lielow
