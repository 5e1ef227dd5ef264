// SPDX-License-Identifier: Apache-2.0
// Level isotherms over rough ground, outcrops and dry knolls are a state of rest; a small disturbance must
// not grow.
#include <gtest/gtest.h>

#include <tuple>

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

}  // namespace
}  // namespace lielow
