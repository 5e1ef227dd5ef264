// SPDX-License-Identifier: Apache-2.0
// The vertical half of a storm: each pulse's rain onto the cells, and what soaks in out of them.
#pragma once

#include <vector>

#include "sim/storm_flow.hpp"

namespace lielow {

/// Throws InputError when the loss is out of range or its cells don't fit the grid.
void validate_loss_of(const StormPlan& plan);

class StormSoil {
  public:
    explicit StormSoil(const StormPlan& plan);

    /// Rain that falls from time `from` to `to`, s, less what soaks in, into the solver's one sheet.
    template <class Real>
    void pulse(StackSolver<Real>& solver, double from, double to);
    /// Empties the cells outside, and the outermost cells of open sides, which drain as they do in
    /// sim/hollows.hpp: left alone, an open edge lets out only what flows towards it, and ponds where the
    /// ground falls inward from it.
    template <class Real>
    void drain(StackSolver<Real>& solver);

    [[nodiscard]] double fallen_m3() const { return fallen_m3_; }
    [[nodiscard]] double infiltrated_m3() const { return infiltrated_m3_; }
    [[nodiscard]] double drained_m3() const { return drained_m3_; }  ///< out of the cells emptied

  private:
    /// Sums over a row of cells, m.
    struct RowSums {
        double rain = 0, soaked = 0;
    };
    [[nodiscard]] double soaked(std::size_t cell, double standing, double intensity, double seconds);

    const StormPlan& plan_;
    std::vector<double> curve_excess_;  ///< of the pulse, by number of the loss, m
    Field<double> soaked_m_;            ///< Green-Ampt's F
    std::vector<std::size_t> outside_;  ///< cells
    std::vector<RowSums> rows_;
    double fallen_m3_ = 0;
    double infiltrated_m3_ = 0;
    double drained_m3_ = 0;
};

}  // namespace lielow
