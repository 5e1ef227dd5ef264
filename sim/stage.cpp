// SPDX-License-Identifier: Apache-2.0
#include "sim/stage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"
#include "sim/tree_sweep.hpp"

namespace lielow {
namespace {

constexpr float kNever = std::numeric_limits<float>::infinity();
constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

/// Elevation at which a cell goes under: its own, or that at which water gets into its catchment.
float level_of(const Stage& stage, const Catchments& catchments, const Field<float>& z, std::size_t cell) {
    const std::int32_t c = catchments.of_cell[cell];
    return c < 0 ? kNothing : std::max(z[cell], stage.level_of_catchment[static_cast<std::size_t>(c)]);
}

/// The first of the lowest cells; NaN never counts as lower. `cells` rise or not: the smallest number wins.
std::uint32_t lowest_cell(const Field<float>& z, const Catchments& catchments,
                          std::span<const std::uint32_t> cells) {
    bool found = false;
    std::uint32_t lowest = 0;
    for (const std::uint32_t cell : cells) {
        if (catchments.of_cell[cell] < 0) continue;
        const bool lower = z[cell] < z[lowest] || (z[cell] == z[lowest] && cell < lowest);
        if (!found || lower) lowest = cell;
        found = true;
    }
    if (!found) throw InputError("no cell of this ground has an elevation; give ground that the DEM covers");
    return lowest;
}

}  // namespace

Stage stage_above_low_point(const Field<float>& z, const Catchments& catchments,
                            std::span<const std::uint32_t> cells) {
    // The lowest cells of the whole ground are pits.
    if (cells.empty()) cells = catchments.pit;
    Stage stage;
    stage.low_cell = lowest_cell(z, catchments, cells);
    stage.low_point_m = z[stage.low_cell];
    stage.level_of_catchment.assign(catchments.pit.size(), kNever);
    for (const std::uint32_t cell : cells) {
        if (z[cell] == stage.low_point_m) {
            stage.level_of_catchment[static_cast<std::size_t>(catchments.of_cell[cell])] = stage.low_point_m;
        }
    }
    sweep_tree(catchments.tree, stage.level_of_catchment, [](float& mine, float theirs, const Pass& pass) {
        mine = std::min(mine, std::max(pass.height, theirs));
    });
    return stage;
}

float fill_stage_of(const Stage& stage, const Catchments& catchments, const Field<float>& z,
                    std::size_t cell) {
    return level_of(stage, catchments, z, cell) - stage.low_point_m;
}

Field<float> fill_stage(const Stage& stage, const Catchments& catchments, const Field<float>& z) {
    Field<float> out(z.rows(), z.cols());
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const float height = fill_stage_of(stage, catchments, z, cell);
        out[cell] = height == kNever ? kNothing : height;
    }
    return out;
}

Field<float> fill_depth(const Stage& stage, const Catchments& catchments, const Field<float>& z,
                        double stage_m) {
    Field<float> out(z.rows(), z.cols());
    const double surface = static_cast<double>(stage.low_point_m) + stage_m;
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const float level = level_of(stage, catchments, z, cell);
        const double depth = level <= surface ? surface - static_cast<double>(z[cell]) : 0.0;
        out[cell] = std::isnan(level) ? kNothing : static_cast<float>(depth);
    }
    return out;
}

}  // namespace lielow
