// SPDX-License-Identifier: Apache-2.0
#include "sim/fine_storm.hpp"

#include <algorithm>
#include <limits>

#include "sim/storm_fill.hpp"

namespace lielow {

FineStorm::FineStorm(const Ground& ground, const StormPlan& plan, const Blocks& blocks,
                     const Catchments& catchments, const Hollows& hollows, const Field<float>& order)
    : plan_(plan),
      nested_(nest_hollows(ground.grid, ground.z, catchments, order)),
      small_(small_hollows(hollows, blocks, ground.grid)),
      map_(ground, blocks, plan.ground, catchments, hollows),
      depth_(plan.grid.rows, plan.grid.cols, 0.0F),
      end_s_(plan.rain.duration_s() + plan.follow_s) {
    for (const std::uint8_t outside : plan.outside.all()) area_m2_ += outside == 0 ? 1 : 0;
    area_m2_ *= plan.grid.cell_area();
}

void FineStorm::look(const StormMoment& moment, const StackSolver<double>& solver) {
    constexpr double rain_share = 0.02;
    constexpr double longest_s = 1800;
    since_s_ += moment.seconds;
    const bool much = moment.rain_m - rain_m_ >= rain_share * plan_.rain.total_m();
    if (!much && since_s_ < longest_s && moment.time_s < end_s_) return;
    for (std::int32_t j = 0; j < plan_.grid.rows; ++j) {
        for (std::int32_t i = 0; i < plan_.grid.cols; ++i)
            depth_(j, i) = static_cast<float>(solver.thickness(0, j, i));
    }
    map_.look(depth_, small_ponds(moment.run_off_m3), since_s_, plan_.deep_water_m);
    since_s_ = 0;
    rain_m_ = moment.rain_m;
}

Field<float> FineStorm::greatest_depth(const StormResult& storm) const {
    Field<float> depth = map_.depth(storm.greatest_depth, {});
    for (std::size_t c = 0; c < depth.size(); ++c) depth[c] = std::max(depth[c], map_.greatest_depth()[c]);
    return depth;
}

std::vector<double> FineStorm::small_ponds(double run_off_m3) const {
    const double runoff = std::max(0.0, run_off_m3) / area_m2_;
    std::vector<double> level =
        fill_from_runoff(nested_, runoff_by_catchment(nested_, runoff)).level_of_catchment;
    for (std::size_t c = 0; c < level.size(); ++c) {
        if (!small_[c]) level[c] = -std::numeric_limits<double>::infinity();
    }
    return level;
}

}  // namespace lielow
