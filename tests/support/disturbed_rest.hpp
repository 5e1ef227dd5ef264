// SPDX-License-Identifier: Apache-2.0
// A stack at rest over rough ground with outcrops, and a small disturbance of it that nothing damps.
#pragma once

#include <vector>

#include "sim/stack_solver.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow::test {

class DisturbedRest {
  public:
    DisturbedRest(int sheets, SchemeOrder order, double courant, std::int32_t rows, std::int32_t cols)
        : ground_(rough_bowl(rows, cols, relief, 3.0)),
          solver_({rows, cols, 10.0, 8.0}, ground_, parameters(sheets, order, courant)) {
        for (int k = 0; k < sheets; ++k) levels_.push_back(relief * (1.1 - 0.95 * k / sheets));
        fill_level(solver_, ground_, levels_);
    }
    /// Shifts the thickness of what is there by up to half of `metres` either way.
    void disturb(double metres) {
        for (int k = 0; k < solver_.sheets(); ++k) {
            for (std::int32_t j = 0; j < ground_.rows(); ++j) {
                for (std::int32_t i = 0; i < ground_.cols(); ++i) {
                    const double h = solver_.thickness(k, j, i);
                    const double shift = scatter(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j),
                                                 static_cast<std::uint32_t>(k)) -
                                         0.5;
                    if (h > 1e-3) solver_.set_thickness(k, j, i, h + metres * shift);
                }
            }
        }
    }
    void step(int steps) {
        for (int n = 0; n < steps; ++n) solver_.step(1e9);
    }
    /// Mean over `steps` further steps of the energy of motion, Σ ½ h u² over faces: waves trade height for
    /// speed all the time.
    double mean_energy(int steps) {
        double sum = 0;
        for (int n = 0; n < steps; ++n) {
            solver_.step(1e9);
            sum += energy_of_motion();
        }
        return sum / steps;
    }
    [[nodiscard]] const StackSolver<double>& solver() const { return solver_; }

  private:
    static constexpr double relief = 30;
    static StackParameters parameters(int sheets, SchemeOrder order, double courant) {
        StackParameters p;
        p.order = order;
        p.courant = courant;
        p.buoyancy = night_buoyancy(sheets, 1.0, 280.0);
        return p;
    }
    [[nodiscard]] double energy_of_motion() const {
        double sum = 0;
        for (int k = 0; k < solver_.sheets(); ++k) {
            for (std::int32_t j = 0; j < ground_.rows(); ++j) {
                for (std::int32_t i = 0; i < ground_.cols(); ++i) {
                    const double h = solver_.thickness(k, j, i);
                    const double u = solver_.velocity_x(k, j, i);
                    const double v = solver_.velocity_y(k, j, i);
                    if (i > 0) sum += 0.25 * (h + solver_.thickness(k, j, i - 1)) * u * u;
                    if (j > 0) sum += 0.25 * (h + solver_.thickness(k, j - 1, i)) * v * v;
                }
            }
        }
        return sum;
    }

    Field<double> ground_;
    StackSolver<double> solver_;
    std::vector<double> levels_;
};

}  // namespace lielow::test
