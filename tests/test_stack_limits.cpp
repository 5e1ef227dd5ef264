// SPDX-License-Identifier: Apache-2.0
// Stability over long times and at the default Courant number, and single against double precision.
// tests/measure_limits.cpp measures the same further, beyond what is asked here.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <tuple>

#include "tests/support/disturbed_rest.hpp"
#include "tests/support/rough_night.hpp"
#include "tests/support/spectrum.hpp"

namespace lielow {
namespace {

using test::DisturbedRest;
using test::night_setup;
using test::rough_ground;
using test::RoughNight;

class Limits : public testing::TestWithParam<SchemeOrder> {};

TEST_P(Limits, TheseNightsAreRunNights) {
    const Ground ground = rough_ground(16, 12, 40);
    NightSetup s = night_setup(EdgeKind::far_field, 8, GetParam(), 1);
    s.cell_m = ground.grid.dx;
    RoughNight<float> night(ground, s, night_courant);
    night.run_until(s.duration_s);
    const NightResult result = run_night(ground, s, plan_night(ground, s));
    ASSERT_EQ(night.solver().steps(), result.steps);
    for (int k = 0; k < 8; ++k) {
        for (int j = 0; j < 16; ++j) {
            for (int i = 0; i < 16; ++i) {
                ASSERT_EQ(night.solver().isotherm_height(k, j, i),
                          result.states.back().isotherm_height[static_cast<std::size_t>(k)](j, i));
            }
        }
    }
}

/// Energy of motion after 100 000 undamped steps over that of the first 1000. Waves share their energy anew
/// between motion and height and among the sheets, by up to a factor of two; growth would be by orders of
/// magnitude.
void expect_no_growth(SchemeOrder order, double courant) {
    DisturbedRest rest(12, order, courant, 10, 12);
    rest.disturb(1e-6);
    const double early = rest.mean_energy(1000);
    rest.step(98000);
    const double late = rest.mean_energy(1000);
    std::printf("energy of motion after 100 000 steps over that of the first 1000: %.3f\n", late / early);
    EXPECT_LT(late, 2 * early);
    EXPECT_GT(late, 0.5 * early);
}

TEST_P(Limits, TwelveSheetsStayAtRestOver100000Steps) {
    expect_no_growth(GetParam(), StackParameters{}.courant);
}

TEST(NightLimits, TwelveSheetsStayAtRestOver100000StepsOfANight) {
    expect_no_growth(NightSetup{}.order, night_courant);
}

TEST_P(Limits, SingleAndDoublePrecisionGiveTheSameNight) {
    const NightSetup s = night_setup(EdgeKind::far_field, 12, GetParam(), 10);
    const Ground ground = rough_ground(16, 12, 33);
    RoughNight<float> single(ground, s, night_courant);
    RoughNight<double> twice(ground, s, night_courant);
    single.run_until(s.duration_s);
    twice.run_until(s.duration_s);
    const test::Difference apart = test::difference(single.deficit(), twice.deficit());
    std::printf("single less double precision after 10 h: %.4f K rms, %.4f K at most\n", apart.rms,
                apart.largest);
    EXPECT_LT(apart.rms, 0.02);
}

INSTANTIATE_TEST_SUITE_P(Orders, Limits, testing::Values(SchemeOrder::first, SchemeOrder::second));

class FlowingNight : public testing::TestWithParam<std::tuple<int, SchemeOrder>> {};

/// The grid's own waves are no stronger at the default Courant number than at half of it: what they hold is
/// forced by ground that is rough down to the cell.
TEST_P(FlowingNight, MakesNoNoiseAtTheDefaultCourantNumber) {
    const auto [sheets, order] = GetParam();
    const NightSetup s = night_setup(EdgeKind::wall, sheets, order, 1);
    const Ground ground = rough_ground(24, 12, 50);
    RoughNight<float> usual(ground, s, night_courant);
    RoughNight<float> careful(ground, s, 0.5 * night_courant);
    test::Spectrum of_usual(24);
    test::Spectrum of_careful(24);
    for (double time = 300; time <= s.duration_s; time += 300) {
        usual.run_until(time);
        careful.run_until(time);
        of_usual.add(usual.solver());
        of_careful.add(careful.solver());
    }
    const test::Difference apart = test::difference(usual.deficit(), careful.deficit());
    std::printf(
        "%d sheets: at 2 to 2.7 cells %.2f %% of the energy, %.2f %% at half the step; %.4f K apart\n",
        sheets, 100 * of_usual.share_below(2.7), 100 * of_careful.share_below(2.7), apart.rms);
    EXPECT_GT(fastest(usual.solver()), 0.1);
    EXPECT_LT(of_usual.share_below(2.7), 1.05 * of_careful.share_below(2.7));
    EXPECT_NEAR(of_usual.total(), of_careful.total(), 0.05 * of_careful.total());
    EXPECT_LT(apart.rms, 0.05);
}

INSTANTIATE_TEST_SUITE_P(Sheets, FlowingNight,
                         testing::Combine(testing::Values(1, 2, 4, 8, 12, 20),
                                          testing::Values(SchemeOrder::first, SchemeOrder::second)));

TEST(GridSpectrum, FindsAWaveWhereItIs) {
    // Parseval and a pure wave of 16/7 cells: all but the window's two neighbours of its energy lie there.
    StackParameters p;
    p.buoyancy = {1.0};
    StackSolver<double> solver({16, 16, 1, 1}, Field<double>(16, 16, 0.0), p);
    for (int j = 0; j < 16; ++j) {
        for (int i = 0; i < 16; ++i) {
            solver.set_thickness(0, j, i, 1.0);
            solver.set_velocity_x(0, j, i, std::cos(2 * M_PI * 7 * i / 16));
        }
    }
    test::Spectrum spectrum(16);
    spectrum.add(solver);
    // Face 0 is taken as a wall, but the window is 0 there. Hann: 1/4, 1/2, 1/4 in amplitude; wave number 8
    // gets both 7's and 9's (= -7's) neighbour.
    EXPECT_NEAR(spectrum.power()[6] / spectrum.power()[7], 0.25, 1e-9);
    EXPECT_NEAR(spectrum.power()[8] / spectrum.power()[7], 1.0, 1e-9);
    EXPECT_NEAR(spectrum.share_below(2.7), 1.0, 1e-9);
}

}  // namespace
}  // namespace lielow
