// SPDX-License-Identifier: Apache-2.0
#include "sim/night_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "sim/stack_parameters.hpp"

namespace lielow {
namespace {

constexpr int shore_rings = 3;  ///< coarse cells by which a surface is carried past its shore

/// Mean of the neighbours that have a surface; NaN when none has.
float carried(const Field<float>& level, std::int32_t row, std::int32_t col) {
    float sum = 0;
    int count = 0;
    for (std::int32_t j = std::max(row - 1, 0); j <= std::min(row + 1, level.rows() - 1); ++j) {
        for (std::int32_t i = std::max(col - 1, 0); i <= std::min(col + 1, level.cols() - 1); ++i) {
            if (!std::isnan(level(j, i))) {
                sum += level(j, i);
                ++count;
            }
        }
    }
    return count > 0 ? sum / static_cast<float>(count) : NAN;
}

/// Elevation at which an isotherm that ends below this ground would lie if the ground were lower: the
/// gradient that the reading uses below the lowest isotherm, run on downwards. Never above the ground.
Field<float> buried_elevation(const Field<double>& ground, const std::vector<Field<float>>& heights,
                              std::size_t isotherm, double sheet_step, const Field<float>& gradient) {
    constexpr double least_gradient = 1e-3;  // K/m
    Field<float> level(ground.rows(), ground.cols());
    for (std::size_t c = 0; c < level.size(); ++c) {
        std::size_t present = isotherm;
        while (present > 0 && !(heights[present - 1][c] > 0)) --present;
        const double lowest = present > 0 ? static_cast<double>(heights[present - 1][c]) : 0.0;
        const auto steps = static_cast<double>(isotherm - present + 1);
        const double gap = sheet_step / std::max(static_cast<double>(gradient[c]), least_gradient);
        level[c] = static_cast<float>(ground[c] + std::min(0.0, lowest - steps * gap));
    }
    return level;
}

/// Elevation of one isotherm: where it exists, its own; past its shore, on rising ground, its neighbours';
/// elsewhere where it would lie below the ground.
Field<float> isotherm_elevation(const Field<double>& ground, const std::vector<Field<float>>& heights,
                                std::size_t isotherm, double sheet_step, const Field<float>& gradient) {
    const Field<float>& height = heights[isotherm];
    Field<float> level(height.rows(), height.cols());
    for (std::size_t c = 0; c < level.size(); ++c) {
        level[c] = height[c] > 0 ? static_cast<float>(ground[c] + static_cast<double>(height[c])) : NAN;
    }
    for (int ring = 0; ring < shore_rings; ++ring) {
        Field<float> next = level.clone();
        for (std::int32_t j = 0; j < level.rows(); ++j) {
            for (std::int32_t i = 0; i < level.cols(); ++i) {
                if (!std::isnan(level(j, i))) continue;
                const float mean = carried(level, j, i);
                if (mean <= static_cast<float>(ground(j, i))) next(j, i) = mean;
            }
        }
        level = std::move(next);
    }
    const Field<float> buried = buried_elevation(ground, heights, isotherm, sheet_step, gradient);
    for (std::size_t c = 0; c < level.size(); ++c) {
        if (std::isnan(level[c])) level[c] = buried[c];
    }
    return level;
}

struct Between {
    std::int32_t first;
    std::int32_t second;
    float share;  ///< of the second; outside 0..1 past the outermost centres
};

/// Coarse cells around the centre of fine cell `fine`, and the share of the second. The last block may be cut
/// by the raster's edge; past the outermost centres the line through the last two runs on. Coarse cells are
/// counted from `origin`.
Between between(std::int32_t fine, std::int32_t block, std::int32_t fine_cells, std::int32_t coarse_cells,
                std::int32_t origin = 0) {
    if (coarse_cells < 2) return {0, 0, 0.0F};
    const auto centre = [&](std::int32_t b) {
        return 0.5 * (static_cast<double>(b) * block + std::min((b + 1) * block, fine_cells));
    };
    const double position = fine + 0.5;
    const auto first =
        std::clamp(static_cast<std::int32_t>(std::floor(position / block - 0.5)), 0, coarse_cells - 2);
    return {first - origin, first + 1 - origin,
            static_cast<float>((position - centre(first)) / (centre(first + 1) - centre(first)))};
}

}  // namespace

IsothermSurfaces::IsothermSurfaces(const Ground& ground, const NightPlan& plan, const ColumnScale& scale,
                                   const Field<double>& coarse_ground,
                                   const std::vector<Field<float>>& heights, const Field<float>* gradient)
    : IsothermSurfaces(ground.grid, plan, scale, {0, 0, coarse_ground.rows(), coarse_ground.cols()},
                       coarse_ground, heights,
                       gradient != nullptr ? gradient->clone()
                                           : Field<float>(coarse_ground.rows(), coarse_ground.cols(),
                                                          static_cast<float>(scale.surface_gradient))) {}

IsothermSurfaces::IsothermSurfaces(const Grid& fine, const NightPlan& plan, const ColumnScale& scale,
                                   const Window& cells, const Field<double>& coarse_ground,
                                   const std::vector<Field<float>>& heights, Field<float> gradient)
    : blocks_(plan.blocks),
      fine_(fine),
      coarse_(block_grid(fine, plan.blocks)),
      cells_(cells),
      gradient_(std::move(gradient)) {
    for (std::size_t k = 0; k < heights.size(); ++k)
        elevation_.push_back(isotherm_elevation(coarse_ground, heights, k, scale.sheet_step, gradient_));
}

Window cells_around(const Window& fine, const Grid& grid, const NightPlan& plan) {
    const Grid coarse = block_grid(grid, plan.blocks);
    const auto span = [](std::int32_t first, std::int32_t count, std::int32_t block, std::int32_t fine_cells,
                         std::int32_t coarse_cells) {
        const std::int32_t from = between(first, block, fine_cells, coarse_cells).first - shore_rings;
        const std::int32_t to =
            between(first + count - 1, block, fine_cells, coarse_cells).second + shore_rings;
        return std::pair(std::max(from, 0), std::min(to + 1, coarse_cells));
    };
    const auto [top, bottom] = span(fine.row, fine.rows, plan.blocks.rows, grid.rows, coarse.rows);
    const auto [left, right] = span(fine.col, fine.cols, plan.blocks.cols, grid.cols, coarse.cols);
    return {top, left, bottom - top, right - left};
}

double IsothermSurfaces::gradient_at(std::int32_t row, std::int32_t col) const {
    Between y = between(row, blocks_.rows, fine_.rows, coarse_.rows, cells_.row);
    Between x = between(col, blocks_.cols, fine_.cols, coarse_.cols, cells_.col);
    y.share = std::clamp(y.share, 0.0F, 1.0F);
    x.share = std::clamp(x.share, 0.0F, 1.0F);
    const auto along = [&](std::int32_t r) {
        return std::lerp(gradient_(r, x.first), gradient_(r, x.second), x.share);
    };
    return static_cast<double>(std::lerp(along(y.first), along(y.second), y.share));
}

void IsothermSurfaces::heights_over(std::int32_t row, std::int32_t col, float z, float* heights) const {
    const Between y = between(row, blocks_.rows, fine_.rows, coarse_.rows, cells_.row);
    const Between x = between(col, blocks_.cols, fine_.cols, coarse_.cols, cells_.col);
    float ceiling = std::numeric_limits<float>::infinity();
    for (std::size_t k = 0; k < elevation_.size(); ++k) {
        const Field<float>& e = elevation_[k];
        const float upper = e(y.first, x.first) + x.share * (e(y.first, x.second) - e(y.first, x.first));
        const float lower = e(y.second, x.first) + x.share * (e(y.second, x.second) - e(y.second, x.first));
        const float height = std::max(0.0F, upper + y.share * (lower - upper) - z);
        ceiling = heights[k] = std::min(height, ceiling);
    }
}

namespace {

/// `read(heights, row, col)` of the isotherms' heights over every cell of the window that `is_known`; NaN
/// elsewhere. `z` and `is_known` count from the window's first cell, `read` from the DEM's.
template <class Known, class Read>
Field<float> read_cells(const Window& window, const Field<float>& z, Known is_known,
                        const IsothermSurfaces& surfaces, Read read) {
    Field<float> out(window.rows, window.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < out.rows(); ++j) {
        float heights[StackParameters::most_sheets];
        for (std::int32_t i = 0; i < out.cols(); ++i) {
            if (!is_known(j, i)) {
                out(j, i) = NAN;
                continue;
            }
            surfaces.heights_over(window.row + j, window.col + i, z(j, i), heights);
            out(j, i) = read(heights, window.row + j, window.col + i);
        }
    }
    return out;
}

template <class Read>
Field<float> read_cells(const Ground& ground, const IsothermSurfaces& surfaces, Read read) {
    return read_cells(
        {0, 0, ground.grid.rows, ground.grid.cols}, ground.z,
        [&](std::int32_t j, std::int32_t i) { return ground.known(j, i) != 0; }, surfaces, read);
}

/// The deficit at plant height under isotherms of these heights.
auto deficit_under(const IsothermSurfaces& surfaces, const ColumnScale& scale, double plant_height) {
    return [&surfaces, &scale, plant_height](const float* heights, std::int32_t row, std::int32_t col) {
        const ColumnScale here{scale.sheet_step, surfaces.gradient_at(row, col)};
        return static_cast<float>(deficit_at(here, heights, surfaces.sheets(), plant_height));
    };
}

}  // namespace

Field<float> map_deficit(const Ground& ground, const IsothermSurfaces& surfaces, const ColumnScale& scale,
                         double plant_height) {
    return read_cells(ground, surfaces, deficit_under(surfaces, scale, plant_height));
}

Field<float> map_deficit(const Window& window, const Field<float>& z, const IsothermSurfaces& surfaces,
                         const ColumnScale& scale, double plant_height) {
    return read_cells(
        window, z, [&](std::int32_t j, std::int32_t i) { return !std::isnan(z(j, i)); }, surfaces,
        deficit_under(surfaces, scale, plant_height));
}

Field<float> cell_temperature_k(const NightResult& night, const NightSetup& s, const NightState& state) {
    const Grid& grid = night.plan.grid;
    Field<float> temperature(grid.rows, grid.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        float column[StackParameters::most_sheets];
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            for (int k = 0; k < night.plan.sheets; ++k)
                column[k] = state.isotherm_height[static_cast<std::size_t>(k)](j, i);
            const ColumnScale here{night.scale.sheet_step, static_cast<double>(state.gradient(j, i))};
            const double rise = night.ground(j, i) - s.reference_elevation_m;
            temperature(j, i) =
                static_cast<float>(s.evening_air_k - dry_lapse * rise -
                                   deficit_at(here, column, night.plan.sheets, s.plant_height_m));
        }
    }
    return temperature;
}

Field<float> map_cold_depth(const Ground& ground, const IsothermSurfaces& surfaces) {
    return read_cells(ground, surfaces,
                      [](const float* heights, std::int32_t, std::int32_t) { return heights[0]; });
}

void deficit_to_celsius(const Ground& ground, const NightSetup& s, Field<float>& deficit) {
    deficit_to_celsius(ground.z, s, deficit);
}

void deficit_to_celsius(const Field<float>& z, const NightSetup& s, Field<float>& deficit) {
    const double evening_c = s.evening_air_k - 273.15;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < deficit.rows(); ++j) {
        for (std::int32_t i = 0; i < deficit.cols(); ++i) {
            const double rise = static_cast<double>(z(j, i)) - s.reference_elevation_m;
            deficit(j, i) =
                static_cast<float>(evening_c - dry_lapse * rise - static_cast<double>(deficit(j, i)));
        }
    }
}

}  // namespace lielow
