// SPDX-License-Identifier: Apache-2.0
#include "sim/night_nest.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "sim/errors.hpp"
#include "sim/night_ring.hpp"
#include "sim/sky_view.hpp"

namespace lielow {

double work_around(const NightPlan& farm) {
    constexpr double least_work = 5e8;
    return std::max(farm.expected_work / 6, least_work);
}

NightPlan plan_coarse(const Ground& ground, const NightSetup& settings, const NightPlan& farm,
                      double most_work) {
    constexpr double least_ratio = 2;
    NightSetup wide = settings;
    wide.sheets = farm.sheets;
    wide.sheet_step_k = farm.sheet_step_k;
    wide.cell_m = 0;
    wide.work_limit = most_work;
    NightPlan plan = plan_night(ground, wide);
    const double least = least_ratio * std::max(farm.grid.dx, farm.grid.dy);
    if (std::min(plan.grid.dx, plan.grid.dy) < least) {
        wide.cell_m = least;
        plan = plan_night(ground, wide);
    }
    return plan;
}

NightSurface coarse_surface(const NightSurface& surface, double night_drag, const NightPlan& farm,
                            const NightPlan& coarse, double east_m, double south_m) {
    NightSurface wide;
    CanopySum canopy(coarse.grid);
    const std::int32_t rows = coarse.grid.rows;
    const std::int32_t cols = coarse.grid.cols;
    if (!surface.ground_drag.empty())
        wide.ground_drag = Field<float>(rows, cols, static_cast<float>(night_drag));
    if (!surface.heat_w_m2.empty()) wide.heat_w_m2 = Field<float>(rows, cols, 0.0F);
    const double share = farm.grid.cell_area() / coarse.grid.cell_area();
    for (std::int32_t j = 0; j < farm.grid.rows; ++j) {
        for (std::int32_t i = 0; i < farm.grid.cols; ++i) {
            const auto row = static_cast<std::int32_t>((south_m + (j + 0.5) * farm.grid.dy) / coarse.grid.dy);
            const auto col = static_cast<std::int32_t>((east_m + (i + 0.5) * farm.grid.dx) / coarse.grid.dx);
            if (!coarse.grid.contains(row, col)) continue;
            if (!surface.canopy_drag.empty()) {
                canopy.add(row, col, static_cast<double>(surface.canopy_top(j, i)),
                           share * static_cast<double>(surface.canopy_drag(j, i)));
            }
            if (!surface.ground_drag.empty()) {
                const double more = static_cast<double>(surface.ground_drag(j, i)) - night_drag;
                wide.ground_drag(row, col) += static_cast<float>(share * more);
            }
            if (!surface.heat_w_m2.empty())
                wide.heat_w_m2(row, col) += static_cast<float>(share) * surface.heat_w_m2(j, i);
        }
    }
    canopy.put(wide);
    return wide;
}

NightAround night_around(const Surround& surround, const NightSetup& settings, const NightPlan& plan,
                         const Grid& farm_grid, const NightSurface& surface, int sky_directions) {
    const Ground& ground = surround.ground;
    NightAround around{settings, plan_coarse(ground, settings, plan, work_around(plan)), {}};
    around.setup.sample_interval_s = settings.duration_s;  // nobody reads the states in between
    if (settings.sky_view) {
        around.setup.sky_view = std::make_shared<const Field<float>>(
            sky_view_per_map_area(ground.grid, ground.z, sky_directions));
    }
    if (settings.cover_loss) {
        Field<float> ordinary(ground.z.rows(), ground.z.cols(), 1.0F);
        around.setup.cover_loss = std::make_shared<const Field<float>>(
            laid_over(surround, farm_grid, *settings.cover_loss, std::move(ordinary)));
    }
    around.surface = coarse_surface(surface, settings.ground_drag, plan, around.plan, surround.east_m(),
                                    surround.south_m());
    return around;
}

NestedNight run_nested_night(const Ground& farm, const Surround& surround, const NightSetup& settings,
                             const NightPlan& plan, const NightAround& around, const NestOptions& options) {
    const NightSurface none;
    const NightSurface& surface = options.surface != nullptr ? *options.surface : none;
    NightRing ring(around.plan, block_means(surround.ground, around.plan.blocks), surround.east_m(),
                   surround.south_m(), plan, raised_ground(surface, block_means(farm, plan.blocks)));
    ring.set_longest_interval(options.longest_interval_s);
    const double outer_share = around.plan.expected_work / (around.plan.expected_work + plan.expected_work);
    const auto part = [&options](double from, double to) -> NightProgress {
        if (!options.progress) return {};
        return [&options, from, to](double share) { return options.progress(from + share * (to - from)); };
    };
    NestedNight nested;
    nested.around =
        run_night(surround.ground, around.setup, around.plan, &around.surface, part(0, outer_share),
                  {.observer = options.around, .record = &ring, .keeper = options.around_keeper});
    nested.ring_samples = ring.samples();
    nested.ring_bytes = ring.bytes();
    nested.farm = run_night(farm, settings, plan, &surface, part(outer_share, 1),
                            {.observer = options.farm,
                             .outside = &ring,
                             .at_hour = options.farm_at_hour,
                             .keeper = options.farm_keeper});
    nested.farm.far_ground_m = nested.around.far_ground_m;
    nested.farm.far_field_height = nested.around.far_field_height;
    return nested;
}

}  // namespace lielow
