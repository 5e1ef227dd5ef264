// SPDX-License-Identifier: Apache-2.0
#include "sim/surround.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace lielow {
namespace {

struct Known {
    double sum = 0;
    double count = 0;
};

/// Of the block of `values` whose first corner is cell (row, col).
Known known_in_block(const Field<float>& values, std::int32_t row, std::int32_t col, const Blocks& block) {
    Known known;
    for (std::int32_t j = row; j < std::min(row + block.rows, values.rows()); ++j) {
        for (std::int32_t i = col; i < std::min(col + block.cols, values.cols()); ++i) {
            if (std::isnan(values(j, i))) continue;
            known.sum += static_cast<double>(values(j, i));
            known.count += 1;
        }
    }
    return known;
}

}  // namespace

Field<float> laid_over(const Surround& surround, const Grid& farm, const Field<float>& farm_values,
                       Field<float> values) {
    const Blocks& cell = surround.cell;
    const Grid covered = block_grid(farm, cell);
    const double whole = static_cast<double>(cell.rows) * cell.cols;
    for (std::int32_t row = 0; row < covered.rows; ++row) {
        for (std::int32_t col = 0; col < covered.cols; ++col) {
            const Known known = known_in_block(farm_values, row * cell.rows, col * cell.cols, cell);
            if (known.count == 0) continue;
            float& value = values(surround.first_row + row, surround.first_col + col);
            const double rest = std::isnan(value) ? 0.0 : whole - known.count;
            const double had = rest > 0 ? rest * static_cast<double>(value) : 0.0;
            value = static_cast<float>((known.sum + had) / (known.count + rest));
        }
    }
    return values;
}

void lay_farm(Surround& surround, const Ground& farm) {
    surround.ground.z = laid_over(surround, farm.grid, farm.z, std::move(surround.ground.z));
}

}  // namespace lielow
