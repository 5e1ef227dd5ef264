// SPDX-License-Identifier: Apache-2.0
// Follows a storm that runs on coarse cells and tells it on the DEM's own as it goes.
#pragma once

#include <vector>

#include "sim/nested_hollows.hpp"
#include "sim/storm_map.hpp"
#include "sim/storm_plan.hpp"

namespace lielow {

class FineStorm {
  public:
    /// All must outlive it; `plan` as storm_plan() made it from `ground` and `blocks`, the catchments and
    /// hollows those of `ground`, found with `order` (sim/tie_order.hpp).
    FineStorm(const Ground& ground, const StormPlan& plan, const Blocks& blocks, const Catchments& catchments,
              const Hollows& hollows, const Field<float>& order);

    /// To be called after every pulse. It takes a look whenever another fiftieth of the rain has fallen,
    /// every half hour, and at the end.
    void look(const StormMoment& moment, const StackSolver<double>& solver);

    /// Greatest depth over each fine cell, m; what the coarse cells saw between the looks counts too.
    [[nodiscard]] Field<float> greatest_depth(const StormResult& storm) const;
    [[nodiscard]] const Field<float>& deep_hours() const { return map_.deep_hours(); }
    [[nodiscard]] Field<float> smooth(const Field<float>& coarse) const { return map_.smooth(coarse); }

  private:
    /// Levels to which the runoff so far fills the small hollows, m; -inf for other catchments.
    [[nodiscard]] std::vector<double> small_ponds(double run_off_m3) const;

    const StormPlan& plan_;
    NestedHollows nested_;
    std::vector<bool> small_;
    StormMap map_;
    Field<float> depth_;
    double end_s_;
    double area_m2_ = 0;
    double since_s_ = 0;
    double rain_m_ = 0;
};

}  // namespace lielow
