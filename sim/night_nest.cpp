// SPDX-License-Identifier: Apache-2.0
#include "sim/night_nest.hpp"

#include <algorithm>
#include <cmath>

#include "sim/errors.hpp"
#include "sim/night_ring.hpp"

namespace lielow {
NightCanopy coarse_canopy(const NightCanopy& canopy, const NightPlan& farm, const NightPlan& around,
                          double east_m, double south_m) {
    NightCanopy wide{Field<float>(around.grid.rows, around.grid.cols, 0.0F),
                     Field<float>(around.grid.rows, around.grid.cols, 0.0F)};
    const auto share = static_cast<float>(farm.grid.cell_area() / around.grid.cell_area());
    for (std::int32_t j = 0; j < farm.grid.rows; ++j) {
        for (std::int32_t i = 0; i < farm.grid.cols; ++i) {
            const auto row = static_cast<std::int32_t>((south_m + (j + 0.5) * farm.grid.dy) / around.grid.dy);
            const auto col = static_cast<std::int32_t>((east_m + (i + 0.5) * farm.grid.dx) / around.grid.dx);
            if (!around.grid.contains(row, col)) continue;
            wide.top(row, col) = std::max(wide.top(row, col), canopy.top(j, i));
            wide.drag(row, col) += share * canopy.drag(j, i);
        }
    }
    return wide;
}

NightPlan plan_coarse(const Ground& ground, const NightSetup& settings, const NightPlan& farm,
                      double work_share) {
    constexpr double least_ratio = 2;
    NightSetup wide = settings;
    wide.sheets = farm.sheets;
    wide.sheet_step_k = farm.sheet_step_k;
    wide.cell_m = 0;
    wide.work_limit = work_share * farm.expected_work;
    NightPlan plan = plan_night(ground, wide);
    const double least = least_ratio * std::max(farm.grid.dx, farm.grid.dy);
    if (std::min(plan.grid.dx, plan.grid.dy) < least) {
        wide.cell_m = least;
        plan = plan_night(ground, wide);
    }
    return plan;
}

NestedNight run_nested_night(const Ground& farm, const Surround& surround, const NightSetup& settings,
                             const NightPlan& plan, const NightPlan& around, const NightCanopy* canopy,
                             const NightProgress& progress, double longest_interval_s) {
    const double east = surround.east_m();
    const double south = surround.south_m();
    const ColumnScale scale{plan.sheet_step_k, plan.loss_k_m_s / settings.mixing_m2_s};
    NightRing ring(around, block_means(surround.ground, around.blocks), east, south, plan,
                   block_means(farm, plan.blocks), scale);
    ring.set_longest_interval(longest_interval_s);

    const double outer_share = around.expected_work / (around.expected_work + plan.expected_work);
    const auto part = [&](double from, double to) -> NightProgress {
        if (!progress) return {};
        return [&progress, from, to](double share) { return progress(from + share * (to - from)); };
    };
    NightCanopy wide_canopy;
    if (canopy != nullptr) wide_canopy = coarse_canopy(*canopy, plan, around, east, south);
    NestedNight nested;
    nested.around = run_night(surround.ground, settings, around, canopy != nullptr ? &wide_canopy : nullptr,
                              part(0, outer_share), {.record = &ring});
    nested.ring_samples = ring.samples();
    nested.ring_bytes = ring.bytes();
    nested.farm = run_night(farm, settings, plan, canopy, part(outer_share, 1), {.outside = &ring});
    nested.farm.far_ground_m = nested.around.far_ground_m;
    nested.farm.far_field_height = nested.around.far_field_height;
    return nested;
}

}  // namespace lielow
