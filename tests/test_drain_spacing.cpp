// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_spacing.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "sim/drain_down.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;

// Hooghoudt's table for a pipe of 0.1 m radius, as printed in ILRI Publication 16 and FAO Irrigation and
// Drainage Paper 38 (from memory). Printed tables follow Moody's formula; the series lies up to
// 6.1 % below (at D = 1 m, L = 5 m).
TEST(DrainSpacing, EquivalentDepthAgainstThePrintedTable) {
    struct Printed {
        double below, spacing, depth;
    };
    double worst = 0;
    for (const Printed& p : {Printed{5, 50, 3.02},
                             {2, 10, 1.08},
                             {1, 5, 0.67},
                             {1, 20, 0.89},
                             {3, 30, 1.97},
                             {0.5, 50, 0.50},
                             {10, 50, 3.75},
                             {5, 20, 1.89}}) {
        EXPECT_NEAR(equivalent_depth_moody(p.below, p.spacing, 0.1), p.depth, 0.012);
        const double off = equivalent_depth(p.below, p.spacing, 0.1) / p.depth - 1;
        EXPECT_LT(std::abs(off), 0.062) << p.below << " " << p.spacing;
        worst = std::max(worst, std::abs(off));
    }
    std::printf("equivalent depth: series against printed table, worst %.1f %%\n", 100 * worst);
}

// The series is exact: it is the row of mirror images of the pipe in the layer and in the water table, at
// distances kD, each of which adds 2 ln coth(k x), x = 2πD/L (method of images; the geometric series of 1/(1
// − e^(−2nx)), summed over n first). So what is left between it and the printed table is Moody's
// approximation.
TEST(DrainSpacing, EquivalentDepthIsTheSumOverMirrorImages) {
    const double pi = 3.14159265358979323846;
    double worst = 0;
    double moody = 0;
    for (const double below : {0.5, 1.0, 2.0, 3.0, 5.0, 7.7, 10.0}) {
        for (const double spacing : {5.0, 10.0, 15.0, 20.0, 30.0, 50.0, 90.0}) {
            const double x = 2 * pi * below / spacing;
            double images = 0;
            for (int k = 1; k * x < 40; ++k) images -= 2 * std::log(std::tanh(k * x));
            const double exact = pi * spacing / (8 * (std::log(spacing / (pi * 0.1)) + images));
            const double series = equivalent_depth(below, spacing, 0.1);
            worst = std::max(worst, std::abs(series / std::min(below, exact) - 1));
            moody = std::max(moody, std::abs(equivalent_depth_moody(below, spacing, 0.1) / exact - 1));
        }
    }
    std::printf("equivalent depth: series against images %.1e, Moody against images %.1f %%\n", worst,
                100 * moody);
    EXPECT_LT(worst, 1e-8);
    EXPECT_LT(moody, 0.065);
    EXPECT_GT(moody, 0.055) << "the closed formula of printed tables";
}

TEST(DrainSpacing, EquivalentDepthHasNoSeamAndIsNeverDeeperThanTheGround) {
    const double spacing = 20;
    const double seam = 0.5 * spacing / (2 * 3.14159265358979);
    EXPECT_NEAR(equivalent_depth(seam * (1 - 1e-9), spacing, 0.05),
                equivalent_depth(seam * (1 + 1e-9), spacing, 0.05), 1e-7);
    EXPECT_LE(equivalent_depth(0.05, 20, 0.05), 0.05);
    EXPECT_THROW(equivalent_depth(1, 0.1, 0.05), InputError);
}

// Worked through by hand with the formulas of ILRI 16, chapter 8: series / Moody differ by 1 to 2 %.
TEST(DrainSpacing, HooghoudtWorkedExamples) {
    const DrainedGround a{0.5 / day, 0, 0, 3, 0.05};
    EXPECT_NEAR(hooghoudt_spacing(a, 0.6, 0.007 / day), 25.467, 1e-3);
    EXPECT_NEAR(equivalent_depth(3, 25.467, 0.05), 1.5917, 1e-4);
    const DrainedGround b{0.14 / day, 0, 0, 5, 0.1};
    EXPECT_NEAR(hooghoudt_spacing(b, 1, 0.001 / day), 64.695, 1e-3);
    const DrainedGround c{1 / day, 0, 0, 2, 0.05};
    EXPECT_NEAR(hooghoudt_spacing(c, 0.5, 0.010 / day), 25.045, 1e-3);
    const DrainedGround on_floor{0.5 / day, 0, 0, 0, 0.05};
    EXPECT_NEAR(hooghoudt_spacing(on_floor, 0.6, 0.007 / day), 10.142, 1e-3);
    EXPECT_NEAR(hooghoudt_discharge(a, 25.467, 0.6) * day, 0.007, 1e-6);
    EXPECT_THROW(hooghoudt_spacing(a, 0.6, 0), InputError);
}

// ILRI Publication 16, example 8.2 (from memory): K = 1 m/day, porosity 0.05, drains 1.8 m deep over a layer
// at 9.5 m, the table from 0.8 m to 0.3 m in 10 days: about 90 m. With the printed (Moody's) d it is 90.2.
TEST(DrainSpacing, GloverDummWorkedExample) {
    const DrainedGround ground{1 / day, 0, 0.05, 7.7, 0.1};
    EXPECT_NEAR(glover_dumm_spacing(ground, 0.8, 0.3, 10 * day, false), 88.82, 0.01);
    EXPECT_NEAR(glover_dumm_spacing(ground, 0.8, 0.3, 10 * day, false), 90, 1.35);
    EXPECT_NEAR(glover_dumm_height(ground, 88.82, 0.8, 10 * day, false), 0.3, 1e-3);
    EXPECT_GT(glover_dumm_spacing(ground, 0.8, 0.3, 10 * day, true), 88.82)
        << "the water above the drains flows too";
    EXPECT_DOUBLE_EQ(glover_dumm_height(ground, 88.82, 0.8, 0, false), 0.8);
    EXPECT_THROW(glover_dumm_spacing(ground, 0.3, 0.8, 10 * day, false), InputError);
}

// Boussinesq 1904, K = 0.5 m/day, porosity 0.06, 20 m apart, 1 m high: 0.51824 m after 10 days.
TEST(DrainSpacing, DrainsOnTheRestrictiveLayerFollowBoussinesq) {
    const DrainedGround ground{0.5 / day, 0, 0.06, 0, 0.05};
    EXPECT_NEAR(glover_dumm_height(ground, 20, 1, 10 * day, false), 0.51824, 1e-5);
    EXPECT_NEAR(glover_dumm_spacing(ground, 1, 0.51824, 10 * day, false), 20, 1e-3);
}

// Common practice, no source: laterals 40 to 60 ft apart in silty and clayey ground. For 3/8 inch a day (NEH
// 624, chapter 4, from memory), pipes 3 ft down over a layer at 7 ft and a table held 1 ft down midway, the
// conductivities that ask for 40 and for 60 ft must be those of such ground: within the Soil Survey Manual's
// class "moderately high", 1 to 10 µm/s.
TEST(DrainSpacing, TheUsualBandBelongsToModeratelyHighConductivity) {
    const UsualSpacing usual;
    const double rate = 0.375 * 0.0254 / day;
    const auto spacing = [&](double k) {
        return hooghoudt_spacing({k, 0, 0, 4 * 0.3048, 0.05}, 2 * 0.3048, rate);
    };
    EXPECT_LT(spacing(1e-6), usual.least_m);
    EXPECT_GT(spacing(10e-6), usual.greatest_m);
    for (const double k : {1e-6, 1.7e-6, 3e-6, 5e-6, 10e-6})
        std::printf("K %.1f um/s: %.0f ft apart\n", k * 1e6, spacing(k) / 0.3048);
}

/// Height midway between pipes after long steady recharge, by the water table solver with Ernst's resistance.
double solved_height(const DrainedGround& ground, double spacing, double recharge, int cells) {
    const Grid grid{1, cells + 1, spacing / cells, 1.0};
    const double deep = 3.0;  // of the pipes
    const Field<float> z(1, cells + 1, 0.0F);
    Soil soil;
    soil.conductivity_m_s = Field<float>(1, cells + 1, static_cast<float>(ground.conductivity_m_s));
    soil.drainable_porosity = Field<float>(1, cells + 1, 0.05F);
    soil.floor_depth_m = Field<float>(1, cells + 1, static_cast<float>(deep + ground.below_m));
    GroundDrains drains;
    drains.drain_depth_m = Field<float>(1, cells + 1, std::nanf(""));
    drains.linear_m2_s = Field<float>(1, cells + 1, 0.0F);
    for (const int end : {0, cells}) {
        drains.drain_depth_m(0, end) = static_cast<float>(deep);
        // Half of each pipe's water comes from outside the strip.
        drains.linear_m2_s(0, end) = static_cast<float>(
            0.5 * radial_conductance_m_s(ground.conductivity_m_s, ground.below_m, ground.radius_m));
    }
    WaterTable table(grid, z, soil, drains);
    std::vector<double> rain(table.size(), recharge);
    rain.front() = rain.back() = recharge / 2;
    for (double dt = day, t = 0; t < 1500 * day;) {
        const bool taken = table.step(dt, rain, 1e9).taken;
        t += taken ? dt : 0;
        dt *= taken ? 2 : 0.5;
    }
    return table.thickness_m()[static_cast<std::size_t>(cells) / 2] - ground.below_m;
}

// Two published theories against each other: Hooghoudt's equivalent depth, and level flow with Ernst's radial
// resistance in the solver. They part where the water above the drains is thick: Hooghoudt lets it by the
// convergence.
TEST(DrainSpacing, TheSolverWithPipesAgreesWithHooghoudt) {
    for (const double height : {0.05, 0.1, 0.3}) {
        const DrainedGround ground{0.5 / day, 0, 0, 3, 0.05};
        const double q = hooghoudt_discharge(ground, 25, height);
        const double found = solved_height(ground, 25, q, 50);
        std::printf("height midway: Hooghoudt %.3f m, solver %.4f m\n", height, found);
        EXPECT_NEAR(found / height, 1, 0.02 + 0.4 * height);
        EXPECT_GT(found, height);
    }
    EXPECT_TRUE(std::isinf(radial_conductance_m_s(1e-6, 0.1, 0.05)));
}

TEST(DrainSpacing, ABedGivesWhatIsMissing) {
    EXPECT_DOUBLE_EQ(raised_bed_height(0.75, 0.5, 0.0), 0.25);
    EXPECT_DOUBLE_EQ(raised_bed_height(0.75, 0.5, 0.1), 0.35);
    EXPECT_DOUBLE_EQ(raised_bed_height(0.75, 2.0, 0.1), 0);
}

}  // namespace
}  // namespace lielow
