// SPDX-License-Identifier: Apache-2.0
#include "sim/coarse_ground.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

double block_mean(const Ground& ground, const Blocks& blocks, std::int32_t row, std::int32_t col) {
    const std::int32_t last_row = std::min((row + 1) * blocks.rows, ground.grid.rows);
    const std::int32_t last_col = std::min((col + 1) * blocks.cols, ground.grid.cols);
    double sum = 0;
    std::int64_t count = 0;
    for (std::int32_t j = row * blocks.rows; j < last_row; ++j) {
        for (std::int32_t i = col * blocks.cols; i < last_col; ++i) {
            const float z = ground.z(j, i);
            if (!std::isnan(z)) {
                sum += static_cast<double>(z);
                ++count;
            }
        }
    }
    return count > 0 ? sum / static_cast<double>(count) : NAN;
}

/// Mean of the filled cells around an empty one; NaN when there are none.
double neighbours_mean(const Field<double>& z, std::int32_t row, std::int32_t col) {
    double sum = 0;
    int count = 0;
    for (std::int32_t j = std::max(row - 1, 0); j <= std::min(row + 1, z.rows() - 1); ++j) {
        for (std::int32_t i = std::max(col - 1, 0); i <= std::min(col + 1, z.cols() - 1); ++i) {
            if (!std::isnan(z(j, i))) {
                sum += z(j, i);
                ++count;
            }
        }
    }
    return count > 0 ? sum / count : NAN;
}

}  // namespace

Grid block_grid(const Grid& fine, const Blocks& blocks) {
    return {(fine.rows + blocks.rows - 1) / blocks.rows, (fine.cols + blocks.cols - 1) / blocks.cols,
            fine.dx * blocks.cols, fine.dy * blocks.rows};
}

Field<double> block_means(const Ground& ground, const Blocks& blocks) {
    const Grid coarse = block_grid(ground.grid, blocks);
    Field<double> z(coarse.rows, coarse.cols);
    std::vector<std::pair<std::int32_t, std::int32_t>> empty;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < coarse.rows; ++j) {
        for (std::int32_t i = 0; i < coarse.cols; ++i) z(j, i) = block_mean(ground, blocks, j, i);
    }
    for (std::int32_t j = 0; j < coarse.rows; ++j) {
        for (std::int32_t i = 0; i < coarse.cols; ++i) {
            if (std::isnan(z(j, i))) empty.emplace_back(j, i);
        }
    }
    if (empty.size() == z.size()) throw InputError("the ground has no cell with a value");
    while (!empty.empty()) {
        std::vector<std::pair<std::int32_t, std::int32_t>> left;
        std::vector<std::pair<std::size_t, double>> filled;
        for (const auto& [j, i] : empty) {
            const double mean = neighbours_mean(z, j, i);
            if (std::isnan(mean)) {
                left.emplace_back(j, i);
            } else {
                filled.emplace_back(static_cast<std::size_t>(j) * static_cast<std::size_t>(coarse.cols) +
                                        static_cast<std::size_t>(i),
                                    mean);
            }
        }
        for (const auto& [cell, mean] : filled) z[cell] = mean;
        empty = std::move(left);
    }
    return z;
}

}  // namespace lielow
