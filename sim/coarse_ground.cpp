// SPDX-License-Identifier: Apache-2.0
#include "sim/coarse_ground.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

double block_mean(const Field<float>& heights, const Blocks& blocks, std::int32_t row, std::int32_t col) {
    const std::int32_t last_row = std::min((row + 1) * blocks.rows, heights.rows());
    const std::int32_t last_col = std::min((col + 1) * blocks.cols, heights.cols());
    double sum = 0;
    std::int64_t count = 0;
    for (std::int32_t j = row * blocks.rows; j < last_row; ++j) {
        for (std::int32_t i = col * blocks.cols; i < last_col; ++i) {
            const float z = heights(j, i);
            if (!std::isnan(z)) {
                sum += static_cast<double>(z);
                ++count;
            }
        }
    }
    return count > 0 ? sum / static_cast<double>(count) : NAN;
}

/// Means of the blocks in `heights`, whole rows of them, to the rows of `means` from `first` on.
void add_means(const Field<float>& heights, const Blocks& blocks, std::int32_t first, Field<double>& means) {
    const std::int32_t rows = (heights.rows() + blocks.rows - 1) / blocks.rows;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < rows; ++j) {
        for (std::int32_t i = 0; i < means.cols(); ++i)
            means(first + j, i) = block_mean(heights, blocks, j, i);
    }
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

/// Gives every empty cell the mean of its filled neighbours, ring by ring.
void fill_empty(Field<double>& z) {
    std::vector<std::pair<std::int32_t, std::int32_t>> empty;
    for (std::int32_t j = 0; j < z.rows(); ++j) {
        for (std::int32_t i = 0; i < z.cols(); ++i) {
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
                filled.emplace_back(static_cast<std::size_t>(j) * static_cast<std::size_t>(z.cols()) +
                                        static_cast<std::size_t>(i),
                                    mean);
            }
        }
        for (const auto& [cell, mean] : filled) z[cell] = mean;
        empty = std::move(left);
    }
}

}  // namespace

Grid block_grid(const Grid& fine, const Blocks& blocks) {
    return {(fine.rows + blocks.rows - 1) / blocks.rows, (fine.cols + blocks.cols - 1) / blocks.cols,
            fine.dx * blocks.cols, fine.dy * blocks.rows};
}

Field<double> block_means(const Ground& ground, const Blocks& blocks) {
    const Grid coarse = block_grid(ground.grid, blocks);
    Field<double> z(coarse.rows, coarse.cols);
    add_means(ground.z, blocks, 0, z);
    fill_empty(z);
    return z;
}

Field<double> block_means(const Grid& fine, const Blocks& blocks, const ReadWindow<float>& read,
                          std::size_t most_cells) {
    const Grid coarse = block_grid(fine, blocks);
    Field<double> z(coarse.rows, coarse.cols);
    const std::size_t row_of_blocks =
        static_cast<std::size_t>(blocks.rows) * static_cast<std::size_t>(fine.cols);
    const auto at_once = static_cast<std::int32_t>(
        std::clamp<std::size_t>(most_cells / row_of_blocks, 1, static_cast<std::size_t>(coarse.rows)));
    for (std::int32_t first = 0; first < coarse.rows; first += at_once) {
        const std::int32_t row = first * blocks.rows;
        const Window strip{row, 0, std::min(at_once * blocks.rows, fine.rows - row), fine.cols};
        Field<float> heights(strip.rows, strip.cols);
        read(strip, heights);
        add_means(heights, blocks, first, z);
    }
    fill_empty(z);
    return z;
}

}  // namespace lielow
