// SPDX-License-Identifier: Apache-2.0
// Mixing that follows stability: the log-linear profile, a column on fixed heights, books, order of
// isotherms.
#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "sim/column_temperature.hpp"
#include "sim/errors.hpp"
#include "sim/night.hpp"
#include "sim/night_mixing.hpp"
#include "sim/stack_solver.hpp"
#include "sim/stirred_column.hpp"
#include "tests/support/convergence.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

constexpr double theta = 283.15;         // K
constexpr double u_star = 0.08;          // m/s
constexpr double rough = 0.1;            // m
constexpr double loss = 15.0 / 1256.25;  // K m/s

StackParameters column_of(int sheets, double step_k) {
    StackParameters p;
    p.buoyancy = night_buoyancy(sheets, step_k, theta);
    p.exchange.active = true;
    p.exchange.sheet_step = step_k;
    p.exchange.law = MixingLaw::stability;
    p.exchange.friction_velocity = u_star;
    p.exchange.roughness = rough;
    p.exchange.gap_floor = std::min(0.5, 0.5 * log_linear_depth(u_star, rough, loss, theta, step_k));
    return p;
}

/// θ(z) − θ(0) of air that carries the flux `loss` everywhere (Dyer 1974, Boundary-Layer Meteorology 7,
/// 363-372).
double log_linear(double z) {
    const double length = u_star * u_star * u_star * theta / (0.4 * 9.81 * loss);
    return loss / (0.4 * u_star) * (std::log((z + rough) / rough) + 5 * z / length);
}

double height_of(double warmer) {
    double low = 0, high = 1000;
    for (int n = 0; n < 100; ++n) (log_linear(0.5 * (low + high)) < warmer ? low : high) = 0.5 * (low + high);
    return low;
}

/// Isotherms laid on the profile, half a step and more above the ground: the greatest relative error of the
/// flux that the stack conducts between two of them.
double worst_flux(double step_k, double reach_k) {
    const int sheets = static_cast<int>(std::lround(reach_k / step_k));
    StackSolver<double> solver({1, 1, 10, 10}, Field<double>(1, 1, 0.0), column_of(sheets, step_k));
    solver.set_loss(loss);
    std::vector<double> before;
    for (int k = 0; k < sheets; ++k) before.push_back(height_of((sheets - k - 0.5) * step_k));
    for (int k = 0; k < sheets; ++k)
        solver.set_thickness(k, 0, 0,
                             before[static_cast<std::size_t>(k)] -
                                 (k + 1 < sheets ? before[static_cast<std::size_t>(k) + 1] : 0.0));
    constexpr double dt = 1e-3;
    solver.run_until(dt);
    double flux = loss;
    double worst = 0;
    for (int k = sheets - 1; k > 0; --k) {
        flux -= step_k * (solver.isotherm_height(k, 0, 0) - before[static_cast<std::size_t>(k)]) / dt;
        worst = std::max(worst, std::abs(flux / loss - 1));
    }
    return worst;
}

TEST(StableMixing, ConductsTheLogLinearProfile) {
    ConvergenceStudy study{
        "Flux between isotherms on the log-linear profile, relative error, over δ in K", {}, {}};
    for (const double step : {2.0, 1.0, 0.5, 0.25}) study.add(step, worst_flux(step, 8));
    study.print();
    for (const double error : study.error) EXPECT_LT(error, 1e-3);
    EXPECT_GT(study.last_order(), 2);
}

TEST(StableMixing, DepthThatANewSheetNeeds) {
    for (const double step : {0.1, 0.5, 2.0, 10.0})
        EXPECT_NEAR(log_linear(log_linear_depth(u_star, rough, loss, theta, step)), step, 1e-9);
}

StackSolver<double> calm_night(double step_k, double reach_k, double hours) {
    const int sheets = static_cast<int>(std::lround(reach_k / step_k));
    StackParameters p = column_of(sheets, step_k);
    p.longest_step = 2;
    StackSolver<double> solver({1, 1, 10, 10}, Field<double>(1, 1, 0.0), p);
    solver.set_loss(loss);
    solver.run_until(hours * 3600);
    return solver;
}

double drop_at(const StackSolver<double>& solver, double step_k, double height) {
    std::vector<double> levels;
    for (int k = 0; k < solver.sheets(); ++k) levels.push_back(solver.isotherm_height(k, 0, 0));
    const double slope = loss / (0.4 * u_star) / (1 + rough) +
                         5 * 9.81 * loss * loss / (u_star * u_star * u_star * u_star * theta);
    return deficit_at({step_k, slope}, levels, solver.sheets(), height);
}

/// 4 h from uniform air against finite volumes on fixed heights, which share only the law of K with the
/// stack.
TEST(StableMixing, WholeColumnAgreesWithOneOnFixedHeights) {
    StirredColumn fixed(u_star, rough, theta);
    fixed.lose(loss, 4 * 3600);
    ASSERT_NEAR(fixed.missing() / (loss * 4 * 3600), 1, 1e-12);
    ConvergenceStudy study{
        "Calm night with stability, largest difference at 1.5, 5 and 20 m, over δ in K", {}, {}};
    for (const double step : {2.0, 1.0, 0.5}) {
        const auto solver = calm_night(step, 16, 4);
        double worst = 0;
        for (const double z : {1.5, 5.0, 20.0})
            worst = std::max(worst, std::abs(drop_at(solver, step, z) - fixed.deficit(z)));
        study.add(step, worst);
    }
    study.print();
    EXPECT_LT(study.error[1], 0.3);
    EXPECT_LT(study.error[2], 0.15);
    EXPECT_GT(study.fitted_order(), 1);
}

/// Its own lowest metres are log-linear once the flux there hardly changes with height.
TEST(StableMixing, FixedHeightsBecomeLogLinearNearTheGround) {
    StirredColumn fixed(u_star, rough, theta);
    fixed.lose(loss, 10 * 3600);
    const double ours = fixed.deficit(0.1) - fixed.deficit(2);
    const double profile = log_linear(2) - log_linear(0.1);
    std::printf("from 0.1 to 2 m after 10 h: %.3f K, log-linear %.3f K\n", ours, profile);
    EXPECT_NEAR(ours / profile, 1, 0.03);
}

TEST(StableMixing, KeepsHeatAndOrderUnderAnyStirring) {
    for (const double stirred : {0.001, 0.02, 0.08, 0.5, 3.0}) {
        for (const double flow : {0.0, 1.0}) {
            StackSolver<double> solver({1, 1, 10, 10}, Field<double>(1, 1, 0.0), column_of(12, 1.0));
            solver.set_stirring(Field<float>(1, 1, static_cast<float>(stirred)),
                                Field<float>(1, 1, static_cast<float>(flow)));
            double due = 0;
            for (const double q : {loss, 5 * loss, 0.0, -0.2 * loss, 2 * loss}) {
                solver.set_loss(q);
                const double until = solver.time() + 900;
                while (solver.time() < until) solver.step(std::min(20.0, until - solver.time()));
                due += 900 * q;
                double heat = 0;
                for (int k = 0; k < 12; ++k) {
                    ASSERT_GE(solver.thickness(k, 0, 0), 0.0);
                    heat += solver.isotherm_height(k, 0, 0);
                }
                ASSERT_NEAR(heat / due, 1, 1e-11) << stirred << ' ' << flow << ' ' << q;
            }
        }
    }
}

TEST(StableMixing, RefusesAirThatNothingStirs) {
    StackParameters p = column_of(4, 1.0);
    p.exchange.friction_velocity = 0;
    EXPECT_THROW(StackSolver<double>({1, 1, 10, 10}, Field<double>(1, 1, 0.0), p), InputError);
}

Ground rolling_ground(std::int32_t cells) {
    const Grid grid{cells, cells, 10, 10};
    return {grid, test::fractal(cells, cells, 7, 25, 0.8, cells), Field<std::uint8_t>(cells, cells, 1)};
}

NightSetup stable_night(double hours) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.mixing_law = MixingLaw::stability;
    s.cell_m = 10;
    return s;
}

TEST(StableNight, BooksClose) {
    for (const double wind : {0.0, 3.0}) {
        NightSetup s = stable_night(1);
        s.wind.speed_m_s = wind;
        const Ground ground = rolling_ground(12);
        const NightResult night = run_night(ground, s, plan_night(ground, s));
        std::printf("wind %.0f m/s: heat off by %.1e of the loss\n", wind, night.heat_residual());
        EXPECT_NEAR(night.heat_residual(), 0, 1e-4);
    }
}

TEST(StableNight, SameBitsForAnyNumberOfThreads) {
    NightSetup s = stable_night(0.04);
    s.wind.speed_m_s = 2;
    s.wind.from_rad = 1;
    const Ground ground = rolling_ground(40);
    const NightPlan plan = plan_night(ground, s);
    ASSERT_GT(plan.sheets * 1600, 20000);  // else one thread does it all
    omp_set_num_threads(1);
    const NightResult one = run_night(ground, s, plan);
    omp_set_num_threads(3);
    const NightResult three = run_night(ground, s, plan);
    const auto same = [](const Field<float>& a, const Field<float>& b) {
        return std::equal(a.all().begin(), a.all().end(), b.all().begin(), b.all().end());
    };
    for (std::size_t k = 0; k < one.states.back().isotherm_height.size(); ++k)
        EXPECT_TRUE(same(one.states.back().isotherm_height[k], three.states.back().isotherm_height[k])) << k;
    EXPECT_TRUE(same(one.states.back().gradient, three.states.back().gradient));
}

/// Between walls, stirred evenly, with flow.
template <class Real>
Field<double> deficits(const Ground& ground, double hours) {
    StackParameters p = column_of(16, 1.0);
    p.edges = {EdgeKind::wall, EdgeKind::wall, EdgeKind::wall, EdgeKind::wall};
    p.courant = night_courant;
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    p.interface_drag = 0.002;
    StackSolver<Real> solver(ground.grid, block_means(ground, {1, 1}), p);
    const Field<float> calm(ground.grid.rows, ground.grid.cols, static_cast<float>(u_star));
    solver.set_stirring(calm, Field<float>(ground.grid.rows, ground.grid.cols, 0.1F));
    solver.set_loss(loss);
    solver.run_until(hours * 3600);
    Field<double> out(ground.grid.rows, ground.grid.cols);
    for (std::int32_t j = 0; j < out.rows(); ++j) {
        for (std::int32_t i = 0; i < out.cols(); ++i) {
            std::vector<double> levels;
            for (int k = 0; k < solver.sheets(); ++k)
                levels.push_back(static_cast<double>(solver.isotherm_height(k, j, i)));
            out(j, i) = deficit_at({1.0, 0.9}, levels, solver.sheets(), 1.5);
        }
    }
    return out;
}

TEST(StableNight, SingleAndDoublePrecisionGiveTheSame) {
    const Ground ground = rolling_ground(10);
    const Field<double> single = deficits<float>(ground, 3);
    const Field<double> twice = deficits<double>(ground, 3);
    double squares = 0;
    for (std::size_t c = 0; c < single.size(); ++c) squares += std::pow(single[c] - twice[c], 2);
    const double apart = std::sqrt(squares / static_cast<double>(single.size()));
    std::printf("single less double precision after 3 h: %.4f K rms\n", apart);
    EXPECT_LT(apart, 0.02);
}

}  // namespace
}  // namespace lielow
