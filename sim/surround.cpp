// SPDX-License-Identifier: Apache-2.0
#include "sim/surround.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

struct Known {
    double sum = 0;
    double count = 0;
};

/// Of the farm's cells in the block whose first corner is cell (row, col) of `farm`.
Known known_in_block(const Ground& farm, std::int32_t row, std::int32_t col, const Blocks& block) {
    Known known;
    for (std::int32_t j = row; j < std::min(row + block.rows, farm.grid.rows); ++j) {
        for (std::int32_t i = col; i < std::min(col + block.cols, farm.grid.cols); ++i) {
            if (std::isnan(farm.z(j, i))) continue;
            known.sum += static_cast<double>(farm.z(j, i));
            known.count += 1;
        }
    }
    return known;
}

}  // namespace

void lay_farm(Surround& surround, const Ground& farm) {
    const Grid covered = block_grid(farm.grid, surround.cell);
    const double whole = static_cast<double>(surround.cell.rows) * surround.cell.cols;
    for (std::int32_t row = 0; row < covered.rows; ++row) {
        for (std::int32_t col = 0; col < covered.cols; ++col) {
            const Known known =
                known_in_block(farm, row * surround.cell.rows, col * surround.cell.cols, surround.cell);
            if (known.count == 0) continue;
            float& z = surround.ground.z(surround.first_row + row, surround.first_col + col);
            const double rest = std::isnan(z) ? 0.0 : whole - known.count;
            const double had = rest > 0 ? rest * static_cast<double>(z) : 0.0;
            z = static_cast<float>((known.sum + had) / (known.count + rest));
        }
    }
}

}  // namespace lielow
