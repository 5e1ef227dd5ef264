// SPDX-License-Identifier: Apache-2.0
#include "sim/night_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

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

/// Elevation of one isotherm: where it exists, its own; past its shore, its neighbours' but never above the
/// ground; far from it, the ground's.
Field<float> isotherm_elevation(const Field<double>& ground, const Field<float>& height) {
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
                if (!std::isnan(mean)) next(j, i) = std::min(mean, static_cast<float>(ground(j, i)));
            }
        }
        level = std::move(next);
    }
    for (std::size_t c = 0; c < level.size(); ++c) {
        if (std::isnan(level[c])) level[c] = static_cast<float>(ground[c]);
    }
    return level;
}

struct Between {
    std::int32_t first;
    std::int32_t second;
    float share;  ///< of the second
};

/// Coarse cells around the centre of fine cell `fine`, and the share of the second.
Between between(std::int32_t fine, std::int32_t block, std::int32_t coarse_cells) {
    const double position = (fine + 0.5) / block - 0.5;
    const double clamped = std::clamp(position, 0.0, static_cast<double>(coarse_cells - 1));
    const auto first = static_cast<std::int32_t>(clamped);
    return {first, std::min(first + 1, coarse_cells - 1), static_cast<float>(clamped - first)};
}

}  // namespace

IsothermSurfaces::IsothermSurfaces(const NightPlan& plan, const Field<double>& coarse_ground,
                                   const std::vector<Field<float>>& heights)
    : blocks_(plan.blocks) {
    for (const Field<float>& height : heights)
        elevation_.push_back(isotherm_elevation(coarse_ground, height));
}

void IsothermSurfaces::heights_over(std::int32_t row, std::int32_t col, float z, float* heights) const {
    const Between y = between(row, blocks_.rows, elevation_.front().rows());
    const Between x = between(col, blocks_.cols, elevation_.front().cols());
    float ceiling = std::numeric_limits<float>::infinity();
    for (std::size_t k = 0; k < elevation_.size(); ++k) {
        const Field<float>& e = elevation_[k];
        const float upper = e(y.first, x.first) + x.share * (e(y.first, x.second) - e(y.first, x.first));
        const float lower = e(y.second, x.first) + x.share * (e(y.second, x.second) - e(y.second, x.first));
        const float height = std::max(0.0F, upper + y.share * (lower - upper) - z);
        ceiling = heights[k] = std::min(height, ceiling);
    }
}

Field<float> map_deficit(const Ground& ground, const IsothermSurfaces& surfaces, const ColumnScale& scale,
                         double plant_height) {
    Field<float> out(ground.grid.rows, ground.grid.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < out.rows(); ++j) {
        float heights[StackParameters::most_sheets];
        for (std::int32_t i = 0; i < out.cols(); ++i) {
            if (ground.known(j, i) == 0) {
                out(j, i) = NAN;
                continue;
            }
            surfaces.heights_over(j, i, ground.z(j, i), heights);
            out(j, i) = static_cast<float>(deficit_at(scale, heights, surfaces.sheets(), plant_height));
        }
    }
    return out;
}

Field<float> map_cold_depth(const Ground& ground, const IsothermSurfaces& surfaces) {
    Field<float> out(ground.grid.rows, ground.grid.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < out.rows(); ++j) {
        float heights[StackParameters::most_sheets];
        for (std::int32_t i = 0; i < out.cols(); ++i) {
            if (ground.known(j, i) == 0) {
                out(j, i) = NAN;
                continue;
            }
            surfaces.heights_over(j, i, ground.z(j, i), heights);
            out(j, i) = heights[0];
        }
    }
    return out;
}

void deficit_to_celsius(const Ground& ground, const NightSetup& s, Field<float>& deficit) {
    const double evening_c = s.evening_air_k - 273.15;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < deficit.rows(); ++j) {
        for (std::int32_t i = 0; i < deficit.cols(); ++i) {
            const double rise = static_cast<double>(ground.z(j, i)) - s.reference_elevation_m;
            deficit(j, i) =
                static_cast<float>(evening_c - dry_lapse * rise - static_cast<double>(deficit(j, i)));
        }
    }
}

}  // namespace lielow
