// SPDX-License-Identifier: Apache-2.0
// A farm's night nested in a night of the ground around it, against one night of the whole ground.
#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <cstdio>
#include <utility>

#include "sim/errors.hpp"
#include "support/nest_ground.hpp"

namespace lielow {
namespace {

using namespace test;

struct Study {
    Ground wide = hill_ground(60, 60, 36);
    NightSetup setup;
    Cutout cut = test::cut_out(wide, 28, 4);
    NightPlan plan;
    Field<float> truth;

    explicit Study(double hours, int sheets = 8) {
        setup.duration_s = hours * 3600;
        setup.reference_elevation_m = 250;
        setup.cell_m = wide.grid.dx;
        setup.sheets = sheets;
        plan = plan_night(cut.farm, setup);
        truth = coldest(wide, setup, run_night(wide, setup, plan_night(wide, setup)));
    }
    [[nodiscard]] NestedNight nested(std::int32_t ratio, double longest_interval_s = 300) const {
        const Surround surround = surround_of(wide, cut, ratio);
        NightSetup outer = setup;
        outer.cell_m = ratio * wide.grid.dx;
        outer.sheet_step_k = plan.sheet_step_k;
        return run_nested_night(cut.farm, surround, setup, plan,
                                {setup, plan_night(surround.ground, outer), {}},
                                {.longest_interval_s = longest_interval_s});
    }
    [[nodiscard]] FieldError error(const NightResult& night) const {
        return inner_error(truth, coldest(cut.farm, setup, night), cut.first, 20);
    }
};

// Printed and kept to: the errors over the inner 20 of 28 cells.
TEST(NightNest, ReproducesTheWholeNightFarBetterThanTheFarmAlone) {
    const Study study(1.0);
    const FieldError alone = study.error(run_night(study.cut.farm, study.setup, study.plan));
    std::printf("alone: rms %.3f K, most %.3f K\n", alone.rms, alone.most);
    EXPECT_GT(alone.rms, 0.2);  // else there'd be nothing to mend
    const NestedNight same = study.nested(1, 30);
    const FieldError error = study.error(same.farm);
    std::printf("nested on the same cells: rms %.4f K, most %.4f K\n", error.rms, error.most);
    EXPECT_LT(error.rms, 0.01);
    EXPECT_LT(error.most, 0.05);
    for (const std::int32_t ratio : {2, 4}) {
        const FieldError coarse = study.error(study.nested(ratio).farm);
        std::printf("nested in cells %d times as wide: rms %.3f K, most %.3f K\n", ratio, coarse.rms,
                    coarse.most);
        EXPECT_LT(coarse.rms, 0.25 * alone.rms);
        EXPECT_LT(coarse.most, 0.5 * alone.most);
    }
}

TEST(NightNest, HeatClosesWithWhatCrossesTheEdges) {
    const Study study(0.5);
    const NestedNight nested = study.nested(2);
    for (const NightResult* night : {&nested.farm, &nested.around}) {
        EXPECT_LT(std::abs(night->heat_residual()), 2e-6);
        EXPECT_GT(std::abs(night->heat_through_edges_k_m3), 0.02 * night->heat_lost_k_m3);
    }
}

/// Missing heat over `cells` x `cells` cells from (first, first) on at the end of the night, K m³.
double content(const NightResult& night, std::int32_t first, std::int32_t cells) {
    double sum = 0;
    for (const Field<float>& height : night.states.back().isotherm_height) {
        for (std::int32_t j = first; j < first + cells; ++j) {
            for (std::int32_t i = first; i < first + cells; ++i) sum += static_cast<double>(height(j, i));
        }
    }
    return sum * night.plan.sheet_step_k * night.plan.grid.cell_area();
}

// One way as the nesting is, the farm's air must still hold, and its edges let through, what they do in the
// night of the whole ground.
TEST(NightNest, AsMuchColdCrossesTheEdgesAsOnTheWholeGround) {
    const Study study(1.0);
    const std::int32_t cells = study.cut.farm.grid.rows;
    const NightResult whole = run_night(study.wide, study.setup, plan_night(study.wide, study.setup));
    const double within = content(whole, study.cut.first, cells);
    const auto of_loss = [&](const NightResult& farm) {
        return (content(farm, 0, cells) - within) / farm.heat_lost_k_m3;
    };
    const NightResult alone = run_night(study.cut.farm, study.setup, study.plan);
    std::printf(
        "cold that crossed the edges beyond that of the whole ground's night, of the loss: alone %+.4f\n",
        of_loss(alone));
    EXPECT_GT(std::abs(of_loss(alone)), 0.1);
    EXPECT_NEAR(content(alone, 0, cells), alone.heat_in_air_k_m3, 1e-5 * alone.heat_in_air_k_m3);
    for (const auto& [ratio, most] : {std::pair{1, 0.01}, std::pair{2, 0.02}, std::pair{4, 0.05}}) {
        const double beyond = of_loss(study.nested(ratio).farm);
        std::printf("nested in cells %d times as wide: %+.4f\n", ratio, beyond);
        EXPECT_LT(std::abs(beyond), most);
    }
}

TEST(NightNest, OuterNightIsCoarseAndCheap) {
    const Study study(0.1);
    const Surround surround = surround_of(study.wide, study.cut, 1);
    const NightPlan around =
        plan_coarse(surround.ground, study.setup, study.plan, study.plan.expected_work / 6);
    EXPECT_EQ(around.sheets, study.plan.sheets);
    EXPECT_EQ(around.sheet_step_k, study.plan.sheet_step_k);
    EXPECT_GE(around.grid.dx, 2 * study.plan.grid.dx);
    EXPECT_LE(around.expected_work, study.plan.expected_work / 6 * 1.2);
}

TEST(NightNest, SurroundMustReachBeyondTheFarm) {
    const Study study(0.1);
    Surround surround = surround_of(study.wide, study.cut, 2);
    surround.first_col = 0;
    NightSetup outer = study.setup;
    outer.cell_m = 2 * study.wide.grid.dx;
    outer.sheet_step_k = study.plan.sheet_step_k;
    EXPECT_THROW(run_nested_night(study.cut.farm, surround, study.setup, study.plan,
                                  {study.setup, plan_night(surround.ground, outer), {}}),
                 InputError);
}

TEST(NightNest, ThreadsChangeNoBit) {
    const Study study(0.1, 16);  // enough cells and sheets for the outer night to be shared
    const auto with_threads = [&](int threads) {
        omp_set_num_threads(threads);
        return study.nested(1).farm;
    };
    const NightResult one = with_threads(1);
    const NightResult three = with_threads(3);
    for (std::size_t k = 0; k < one.coldest_height.size(); ++k) {
        for (std::size_t c = 0; c < one.coldest_height[k].size(); ++c)
            ASSERT_EQ(one.coldest_height[k][c], three.coldest_height[k][c]);
    }
}

TEST(Surround, FarmIsLaidAveragedAndLeavesTheRest) {
    // 3 x 3 farm cells of 10 m, one unknown, on surround cells of 20 m: the first holds four, the others the
    // rest.
    Field<float> z(3, 3, 100.0F);
    z(2, 2) = NAN;
    z(1, 1) = 108.0F;
    const Ground farm = known_ground(std::move(z), 10);
    Surround surround{known_ground(Field<float>(4, 4, 200.0F), 20), {2, 2}, 1, 1};
    surround.ground.z(2, 1) = NAN;
    lay_farm(surround, farm);
    EXPECT_FLOAT_EQ(surround.ground.z(1, 1), 102);
    EXPECT_FLOAT_EQ(surround.ground.z(1, 2), 150);  // two of four cells
    EXPECT_FLOAT_EQ(surround.ground.z(2, 1), 100);  // knew nothing itself
    EXPECT_FLOAT_EQ(surround.ground.z(2, 2), 200);
    EXPECT_FLOAT_EQ(surround.ground.z(0, 0), 200);
    EXPECT_EQ(surround.east_m(), 20);
}

}  // namespace
}  // namespace lielow
