// SPDX-License-Identifier: Apache-2.0
#include "sim/storm_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace lielow {
namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
/// Thinner water on a coarse cell has no surface that could be carried to its neighbours, m.
constexpr float thin = 0.005F;

}  // namespace

std::vector<StormMap::Between> StormMap::lay_between(std::int32_t fine, std::int32_t block,
                                                     std::int32_t coarse) {
    std::vector<Between> all(static_cast<std::size_t>(fine));
    for (std::int32_t n = 0; n < fine; ++n) {
        const double position = std::clamp((n + 0.5) / block - 0.5, 0.0, coarse - 1.0);
        const auto first = std::min(static_cast<std::int32_t>(position), std::max(coarse - 2, 0));
        all[static_cast<std::size_t>(n)] = {first, std::min(first + 1, coarse - 1),
                                            static_cast<float>(position - first)};
    }
    return all;
}

StormMap::StormMap(const Ground& ground, const Blocks& blocks, const Field<double>& coarse_ground,
                   const Catchments& catchments, const Hollows& hollows)
    : ground_(ground),
      coarse_(coarse_ground),
      catchments_(catchments),
      hollows_(hollows),
      rows_(lay_between(ground.grid.rows, blocks.rows, coarse_ground.rows())),
      cols_(lay_between(ground.grid.cols, blocks.cols, coarse_ground.cols())),
      greatest_(ground.grid.rows, ground.grid.cols, 0.0F),
      hours_(ground.grid.rows, ground.grid.cols, 0.0F) {}

float StormMap::surface(const Field<float>& coarse_depth, const Between& y, const Between& x) const {
    double weight = 0;
    double sum = 0;
    const auto add = [&](std::int32_t row, std::int32_t col, float share) {
        const float depth = coarse_depth(row, col);
        if (!(depth > thin) || !(share > 0)) return;
        weight += static_cast<double>(share);
        sum += static_cast<double>(share) * (coarse_(row, col) + static_cast<double>(depth));
    };
    add(y.first, x.first, (1 - y.share) * (1 - x.share));
    add(y.first, x.second, (1 - y.share) * x.share);
    add(y.second, x.first, y.share * (1 - x.share));
    add(y.second, x.second, y.share * x.share);
    return weight > 0 ? static_cast<float>(sum / weight) : unknown;
}

float StormMap::depth_at(const Field<float>& coarse_depth, std::span<const double> pond_level,
                         std::int32_t row, std::int32_t col) const {
    const Between& y = rows_[static_cast<std::size_t>(row)];
    const Between& x = cols_[static_cast<std::size_t>(col)];
    const float z = ground_.z(row, col);
    const auto catchment = static_cast<std::size_t>(catchments_.of_cell(row, col));
    const float spill = hollows_.level_of_catchment[catchment];
    const auto along = [&](std::int32_t j) {
        return coarse_depth(j, x.first) + x.share * (coarse_depth(j, x.second) - coarse_depth(j, x.first));
    };
    const float flow = along(y.first) + y.share * (along(y.second) - along(y.first));
    const float level = surface(coarse_depth, y, x);
    float depth = flow;
    if (hollows_.hollow_of_catchment[catchment] >= 0 && z < spill) {
        // Above a pond's shore lies a film; what runs over a full hollow stands no higher above its spill
        // level than elsewhere.
        if (!(level > spill)) depth = std::min(depth, thin);
        depth = std::max(depth, std::min(level, spill + flow) - z);
    } else if (level - z < depth) {
        depth = std::max(std::min(depth, thin), level - z);  // banks, and knolls in a pond
    }
    if (pond_level.empty()) return depth;
    return std::max(depth, static_cast<float>(pond_level[catchment] - static_cast<double>(z)));
}

void StormMap::look(const Field<float>& coarse_depth, std::span<const double> pond_level, double seconds,
                    double deep_m) {
    const auto hours = static_cast<float>(seconds / 3600);
    const auto deep = static_cast<float>(deep_m);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < ground_.grid.rows; ++j) {
        for (std::int32_t i = 0; i < ground_.grid.cols; ++i) {
            if (catchments_.of_cell(j, i) < 0) {
                greatest_(j, i) = hours_(j, i) = unknown;
                continue;
            }
            const float depth = depth_at(coarse_depth, pond_level, j, i);
            greatest_(j, i) = std::max(greatest_(j, i), depth);
            if (depth > deep) hours_(j, i) += hours;
        }
    }
}

Field<float> StormMap::depth(const Field<float>& coarse_depth, std::span<const double> pond_level) const {
    Field<float> fine(ground_.grid.rows, ground_.grid.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < fine.rows(); ++j) {
        for (std::int32_t i = 0; i < fine.cols(); ++i)
            fine(j, i) = catchments_.of_cell(j, i) < 0 ? unknown : depth_at(coarse_depth, pond_level, j, i);
    }
    return fine;
}

Field<float> StormMap::smooth(const Field<float>& coarse) const {
    Field<float> fine(ground_.grid.rows, ground_.grid.cols);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < fine.rows(); ++j) {
        const Between& y = rows_[static_cast<std::size_t>(j)];
        for (std::int32_t i = 0; i < fine.cols(); ++i) {
            const Between& x = cols_[static_cast<std::size_t>(i)];
            const auto along = [&](std::int32_t k) {
                return coarse(k, x.first) + x.share * (coarse(k, x.second) - coarse(k, x.first));
            };
            fine(j, i) = along(y.first) + y.share * (along(y.second) - along(y.first));
        }
    }
    return fine;
}

}  // namespace lielow
