// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table_settle.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

constexpr double day_s = 86400;
constexpr double first_step_s = 10 * day_s;
constexpr double shortest_step_s = 60;
constexpr double longest_step_s = 1e7 * day_s;  // 27 000 years: what is stored meanwhile doesn't count
constexpr double growth = 8;
constexpr double slow_growth = 2;
constexpr int easy_steps = 5;
constexpr int most_tries = 300;
constexpr NewtonGoal on_the_way{1e-9, 1e-2, 12};  // only the end must be exact
constexpr NewtonGoal at_the_end{0, 1e-7, 30};

/// Greatest difference of what comes and goes, m/s, where the ground isn't full; what is full lets out what
/// is over.
double imbalance(const WaterTableCells& cells, const WaterTableNewton& newton, double dt) {
    double worst = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const double off =
            newton.full(i) ? std::max(0.0, newton.residual()[i]) : std::abs(newton.residual()[i]);
        worst = std::max(worst, off * cells.store[i] / (dt * cells.grid.cell_area()));
    }
    return worst;
}

}  // namespace

WaterTableSettled settle_thickness(const WaterTableCells& cells, WaterTableNewton& newton,
                                   double recharge_m_s, std::vector<double>& s) {
    const std::vector<double> recharge(s.size(), recharge_m_s);
    std::vector<double> trial;
    WaterTableSettled report;
    double dt = first_step_s;
    for (int i = 0; i < most_tries && dt >= shortest_step_s; ++i) {
        const bool last = dt >= longest_step_s;
        trial = s;
        const NewtonReport step = newton.solve(s, recharge, dt, trial, last ? at_the_end : on_the_way);
        report.newton_steps += step.steps;
        report.linear_iterations += step.linear_iterations;
        if (!step.settled) {
            dt /= 2 * growth;
            continue;
        }
        std::swap(s, trial);
        if (last) {
            report.imbalance_m_s = imbalance(cells, newton, dt);
            report.settled = true;
            return report;
        }
        dt = std::min(longest_step_s, dt * (step.steps <= easy_steps ? growth : slow_growth));
    }
    return report;
}

}  // namespace lielow
