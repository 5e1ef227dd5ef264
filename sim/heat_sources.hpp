// SPDX-License-Identifier: Apache-2.0
// Heaters and fans: heat given to the air at the ground, and how much of it the cold air could take.
#pragma once

#include <cstddef>
#include <vector>

#include "sim/stack_solver.hpp"
#include "sim/state_walk.hpp"

namespace lielow {

/// A stack holds air colder than the evening's and nothing else. So a column takes no more heat than it
/// lacks; the rest, and that of a column that lacks none, rises above the cold air and is counted as unused.
class HeatSources {
  public:
    /// `heat_w_m2` per cell, 0 where there is none; may be empty. `heat_capacity` is ρ cp, J/(m³ K).
    HeatSources(const Field<float>& heat_w_m2, double heat_capacity);

    /// Only what is given in these rows counts from now on.
    void count(const RowSpan& rows) { counted_ = rows; }
    /// Sets the solver's loss for the next step of `dt` seconds: the ground's `loss` less this heat, K m/s;
    /// booked. Half of what a column lacks can be made good in one step: its cold air may flow off meanwhile.
    /// Without any heat nothing is set.
    void warm(StackSolver<float>& solver, double sheet_step, const Field<float>& loss, double dt);

    /// What the latest step took out of the air at the ground: the ground's loss less the heat, 0 where the
    /// air was warmed.
    [[nodiscard]] const Field<float>& felt(const Field<float>& loss) const {
        return cells_.empty() ? loss : felt_;
    }
    [[nodiscard]] double taken() const { return taken_; }    ///< Σ over cells, K m, so far
    [[nodiscard]] double unused() const { return unused_; }  ///< likewise
    void walk(StateWalk& walk) {
        walk.scratch(net_);
        walk.scratch(felt_);
        walk.own(taken_);
        walk.own(unused_);
    }

  private:
    std::vector<std::size_t> cells_;
    std::vector<double> heat_;  ///< K m/s
    Field<float> net_;
    Field<float> felt_;
    RowSpan counted_;
    double taken_ = 0;
    double unused_ = 0;
};

}  // namespace lielow
