// SPDX-License-Identifier: Apache-2.0
// What lies beyond a night's edges.
#pragma once

#include <algorithm>
#include <vector>

#include "sim/night_forcing.hpp"
#include "sim/night_mixing.hpp"
#include "sim/night_wind.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// Level open land of the same night: one column, advanced alongside.
class FarField {
  public:
    /// `law`, `wind` and `mixing` must outlive this.
    FarField(const StackParameters& between_walls, const LossLaw& law, const NightWind& wind,
             const NightMixing& mixing, double elevation)
        : solver_({1, 1, 1, 1}, Field<double>(1, 1, 0.0), between_walls),
          law_(law),
          wind_(wind),
          mixing_(mixing),
          elevation_(elevation),
          sheet_step_(between_walls.exchange.sheet_step),
          loss_(law.loss_k_m_s(0, elevation, 0, 1)) {
        solver_.set_loss(loss_);
    }
    /// Goes on to `time` and takes the loss of that moment.
    void refresh(double time) {
        advance(time);
        const double deficit = deficit_at(ColumnScale{sheet_step_, loss_ / mixing_.near_open_ground(loss_)},
                                          isotherms(), solver_.sheets(), 0.0);
        loss_ = law_.settled_loss_k_m_s(solver_.time(), elevation_, deficit, 1, loss_, time - refreshed_s_);
        refreshed_s_ = time;
        solver_.set_loss(loss_);
    }
    void advance(double time) { solver_.run_until(time); }
    /// Lets the wind act for `span` seconds.
    void blow(double span) {
        wind_.act_on_open_land(solver_, span);
        mixing_.stir_open_land(solver_);
    }
    [[nodiscard]] std::vector<double> isotherms() const {
        std::vector<double> heights;
        heights.reserve(static_cast<std::size_t>(solver_.sheets()));
        for (int k = 0; k < solver_.sheets(); ++k) heights.push_back(solver_.isotherm_height(k, 0, 0));
        return heights;
    }
    /// How far the coldest sheet has grown towards the height at which the next colder one appears, 0..1.
    [[nodiscard]] double growth() const {
        double lowest = 0;
        for (int k = 0; k < solver_.sheets() && solver_.isotherm_height(k, 0, 0) > 0; ++k)
            lowest = solver_.isotherm_height(k, 0, 0);
        return std::min(1.0, lowest / mixing_.full_depth(loss_, sheet_step_));
    }
    void walk(StateWalk& walk) {
        solver_.walk(walk);
        walk.value(loss_);
        walk.value(refreshed_s_);
    }

  private:
    StackSolver<double> solver_;
    const LossLaw& law_;
    const NightWind& wind_;
    const NightMixing& mixing_;
    double elevation_;
    double sheet_step_;
    double loss_;  ///< K m/s
    double refreshed_s_ = 0;
};

}  // namespace lielow
