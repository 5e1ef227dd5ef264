// SPDX-License-Identifier: Apache-2.0
// Whole nights over rough ground that tests can steer more closely than run_night lets them: either
// precision, any Courant number. tests/test_stack_limits.cpp holds them to run_night's bits.
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/column_temperature.hpp"
#include "sim/errors.hpp"
#include "sim/night.hpp"
#include "sim/stack_solver.hpp"
#include "tests/support/terrain.hpp"

namespace lielow::test {

/// Rolling ground, rough down to the cell: heights that spread over `relief` m, waves of `cells` cells to 1.
inline Ground rough_ground(std::int32_t cells, double cell_m, float relief, std::uint32_t seed = 5) {
    const Grid grid{cells, cells, cell_m, cell_m};
    return {grid, fractal(cells, cells, seed, relief, 0.8, cells), Field<std::uint8_t>(cells, cells, 1)};
}

inline NightSetup night_setup(EdgeKind edges, int sheets, SchemeOrder order, double hours) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.edges = edges;
    s.sheets = sheets;
    s.order = order;
    return s;
}

/// The stack that run_night makes of a night, at a Courant number of one's own.
inline StackParameters stack_of_night(const NightSetup& s, const NightPlan& plan, EdgeKind edges,
                                      double courant) {
    StackParameters p;
    p.courant = courant;
    p.buoyancy = night_buoyancy(plan.sheets, plan.sheet_step_k, s.evening_air_k);
    p.order = s.order;
    p.edges = {edges, edges, edges, edges};
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = s.ground_drag;
    p.interface_drag = s.interface_drag;
    p.momentum_mixing = s.mixing_m2_s;
    p.exchange = {true, s.mixing_m2_s, plan.sheet_step_k,
                  std::clamp(0.5 * s.mixing_m2_s * plan.sheet_step_k / plan.loss_k_m_s, 0.05, 0.5)};
    return p;
}

template <class Real>
class RoughNight {
  public:
    /// On the ground's own cells, whatever settings.cell_m says.
    RoughNight(const Ground& ground, const NightSetup& settings, double courant)
        : settings_(with_cells_of(ground, settings)),
          plan_(plan_night(ground, settings_)),
          z_(block_means(ground, plan_.blocks)),
          far_({1, 1, 1, 1}, Field<double>(1, 1, 0.0),
               stack_of_night(settings_, plan_, EdgeKind::wall, night_courant)),
          solver_(plan_.grid, z_, stack_of_night(settings_, plan_, settings_.edges, courant)) {
        far_.set_loss(plan_.loss_k_m_s);
        solver_.set_loss(plan_.loss_k_m_s);
        for (std::int32_t j = 0; j < z_.rows(); ++j) far_ground_ += z_(j, 0) + z_(j, z_.cols() - 1);
        for (std::int32_t i = 0; i < z_.cols(); ++i) far_ground_ += z_(0, i) + z_(z_.rows() - 1, i);
        far_ground_ /= 2.0 * (z_.rows() + z_.cols());
    }

    /// `time`, s, a multiple of run_night's 300 s between looks if its bits are wanted.
    void run_until(double time) {
        while (solver_.time() < time) {
            if (solver_.stable_step() < 1e-6) throw RunError("the step has shrunk to nothing");
            far_.run_until(solver_.time());
            set_far_field();
            solver_.run_until(std::min({solver_.time() + solver_.stable_step(), next_look_, time}));
            if (solver_.time() >= next_look_) next_look_ += 300;
        }
    }
    [[nodiscard]] const StackSolver<Real>& solver() const { return solver_; }
    [[nodiscard]] const NightPlan& plan() const { return plan_; }

    /// How much colder than the evening air it is at plant height, K.
    [[nodiscard]] Field<double> deficit() const {
        const ColumnScale scale{plan_.sheet_step_k, plan_.loss_k_m_s / settings_.mixing_m2_s};
        Field<double> out(z_.rows(), z_.cols());
        std::vector<double> heights(static_cast<std::size_t>(plan_.sheets));
        for (std::int32_t j = 0; j < z_.rows(); ++j) {
            for (std::int32_t i = 0; i < z_.cols(); ++i) {
                double height = 0;
                for (int k = plan_.sheets - 1; k >= 0; --k) {
                    height += static_cast<double>(solver_.thickness(k, j, i));
                    heights[static_cast<std::size_t>(k)] = height;
                }
                out(j, i) = deficit_at(scale, heights, plan_.sheets, settings_.plant_height_m);
            }
        }
        return out;
    }

  private:
    static NightSetup with_cells_of(const Ground& ground, NightSetup settings) {
        settings.cell_m = ground.grid.dx;
        return settings;
    }
    void set_far_field() {
        std::vector<double> heights;
        double lowest = 0;
        for (int k = 0; k < far_.sheets(); ++k) {
            heights.push_back(far_.isotherm_height(k, 0, 0));
            if (heights.back() > 0) lowest = heights.back();
        }
        const double full = settings_.mixing_m2_s * plan_.sheet_step_k / plan_.loss_k_m_s;
        solver_.set_far_field(heights, far_ground_, std::min(1.0, lowest / full));
    }

    NightSetup settings_;
    NightPlan plan_;
    Field<double> z_;
    StackSolver<double> far_;
    StackSolver<Real> solver_;
    double far_ground_ = 0;
    double next_look_ = 300;
};

/// Root mean square and largest difference of two fields.
struct Difference {
    double rms = 0;
    double largest = 0;
};

inline Difference difference(const Field<double>& a, const Field<double>& b) {
    Difference d;
    for (std::size_t cell = 0; cell < a.size(); ++cell) {
        const double here = std::abs(a[cell] - b[cell]);
        d.rms += here * here;
        d.largest = std::max(d.largest, here);
    }
    d.rms = std::sqrt(d.rms / static_cast<double>(a.size()));
    return d;
}

}  // namespace lielow::test
