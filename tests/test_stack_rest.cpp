// SPDX-License-Identifier: Apache-2.0
// Level isotherms over rough ground, outcrops and dry knolls are a state of rest; a small disturbance must
// not grow. Nor may films and odd values upset it.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>
#include <tuple>

#include "sim/errors.hpp"
#include "sim/stack_solver.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

std::vector<double> levels_for(int sheets, double relief) {
    std::vector<double> levels;
    for (int k = 0; k < sheets; ++k) levels.push_back(relief * (1.1 - 0.95 * k / sheets));
    return levels;
}

template <class Real>
StackSolver<Real> at_rest(int sheets, SchemeOrder order, const Field<double>& z, double relief) {
    const Grid grid{z.rows(), z.cols(), 10.0, 8.0};
    StackParameters p;
    p.order = order;
    p.buoyancy = night_buoyancy(sheets, 1.0, 280.0);
    StackSolver<Real> solver(grid, z, p);
    fill_level(solver, z, levels_for(sheets, relief));
    return solver;
}

class Rest : public testing::TestWithParam<std::tuple<int, SchemeOrder>> {
  protected:
    int sheets_ = std::get<0>(GetParam());
    SchemeOrder order_ = std::get<1>(GetParam());
};

TEST_P(Rest, SpeedsStayAtRounding) {
    const Field<double> z = rough_bowl(24, 28, 30.0, 3.0);
    auto solver = at_rest<double>(sheets_, order_, z, 30.0);
    for (int n = 0; n < 1000; ++n) solver.step(1e9);
    EXPECT_LT(fastest(solver), 1e-12);
}

TEST_P(Rest, SpeedsStayAtRoundingInSinglePrecision) {
    const Field<double> z = rough_bowl(24, 28, 30.0, 3.0);
    auto solver = at_rest<float>(sheets_, order_, z, 30.0);
    for (int n = 0; n < 1000; ++n) solver.step(1e9);
    // Thickness of 30 m carries a rounding of 2e-6 m; a wave of that height on the fastest mode moves at 2e-6
    // sqrt(b/h).
    EXPECT_LT(fastest(solver), 2e-5);
}

TEST_P(Rest, SmallDisturbanceDoesNotGrow) {
    const Field<double> z = rough_bowl(24, 28, 30.0, 3.0);
    auto solver = at_rest<double>(sheets_, order_, z, 30.0);
    for (int j = 0; j < 24; ++j) {
        for (int i = 0; i < 28; ++i) {
            for (int k = 0; k < sheets_; ++k) {
                const double h = solver.thickness(k, j, i);
                if (h > 1e-3) {
                    solver.set_thickness(
                        k, j, i,
                        h + 1e-6 * (scatter(static_cast<unsigned>(i), static_cast<unsigned>(j),
                                            static_cast<unsigned>(k)) -
                                    0.5));
                }
            }
        }
    }
    // Root mean square over a window, since undamped waves trade height for speed all the time.
    const auto window = [&](int steps) {
        double sum = 0;
        for (int n = 0; n < steps; ++n) {
            solver.step(1e9);
            sum += std::pow(fastest(solver), 2);
        }
        return std::sqrt(sum / steps);
    };
    const double early = window(1000);
    for (int n = 1000; n < 9000; ++n) solver.step(1e9);
    const double late = window(1000);
    std::printf("sheets %d, order %d: fastest in steps 0-1000 %.2e m/s, in steps 9000-10000 %.2e m/s\n",
                sheets_, order_ == SchemeOrder::first ? 1 : 2, early, late);
    EXPECT_LT(early, 1e-6);
    // Nothing damps these waves, so their energy wanders between sheets of unlike thickness and the fastest
    // face with it: over 40 000 steps it settles between 1.0 and 1.4 times its early value. Growth would be
    // by orders of magnitude.
    EXPECT_LE(late, 2 * early);
}

INSTANTIATE_TEST_SUITE_P(Sheets, Rest,
                         testing::Combine(testing::Values(1, 4, 12),
                                          testing::Values(SchemeOrder::first, SchemeOrder::second)));

/// A sheet that ran out in the middle of a column passes on what the sheets on either side of it do to each
/// other; a film below it must not be set loose.
TEST(ThinFilm, BelowASheetThatRanOutKeepsTheSpeedOfTheAirAround) {
    StackParameters p;
    p.buoyancy = night_buoyancy(5, 1.0, 280.0);
    p.momentum_mixing = 0.04;
    p.interface_drag = 0.002;
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    StackSolver<float> solver({4, 40, 250.0, 250.0}, Field<double>(4, 40, 0.0), p);
    const float thick[] = {1.0F, 1.0F, 0.0F, 1e-10F, 1e-27F};
    for (int k = 0; k < 5; ++k) {
        for (int j = 0; j < 4; ++j) {
            for (int i = 0; i < 40; ++i) {
                // Many films, so that rounding falls on either side.
                const float share = 1.0F + 0.37F * static_cast<float>(i + 40 * j);
                solver.set_thickness(k, j, i, k < 3 ? thick[k] : share * thick[k]);
                if (i > 0) solver.set_velocity_x(k, j, i, 0.3F);
            }
        }
    }
    solver.step(10.0);
    EXPECT_LT(fastest(solver), 0.301);
}

/// Time that would stand still is reported: a caller that waits for sunrise must not wait for ever.
TEST(TooFast, IsReportedWhereTimeWouldStandStill) {
    StackParameters p;
    p.buoyancy = {1e-30};
    p.longest_step = 1e17;  // beside which the seconds of a moving sheet's step are nothing
    StackSolver<double> solver({4, 40, 10.0, 10.0}, Field<double>(4, 40, 0.0), p);
    for (int j = 0; j < 4; ++j)
        for (int i = 0; i < 40; ++i) solver.set_thickness(0, j, i, 1.0);
    solver.run_until(1e17);
    for (int j = 0; j < 4; ++j)
        for (int i = 1; i < 40; ++i) solver.set_velocity_x(0, j, i, 1.0);
    try {
        solver.run_until(4e17);
        FAIL() << "time went on";
    } catch (const RunError& error) {
        EXPECT_NE(std::string(error.what()).find("too fast to follow"), std::string::npos) << error.what();
    }
}

/// A number that isn't one is reported, also where its sheet is nowhere else.
TEST(NotANumber, InAnOtherwiseAbsentSheetIsReported) {
    StackParameters p;
    p.buoyancy = night_buoyancy(2, 1.0, 280.0);
    StackSolver<float> solver({4, 40, 10.0, 10.0}, Field<double>(4, 40, 0.0), p);
    for (int j = 0; j < 4; ++j)
        for (int i = 0; i < 40; ++i) solver.set_thickness(0, j, i, 1.0F);
    solver.set_thickness(1, 2, 20, std::numeric_limits<float>::quiet_NaN());
    EXPECT_THROW(for (int n = 0; n < 3; ++n) solver.step(1.0), RunError);
}

}  // namespace
}  // namespace lielow
