// SPDX-License-Identifier: Apache-2.0
#include "sim/ground_tiles.hpp"

namespace lielow {

TileCut::TileCut(const Grid& grid, std::int32_t side)
    : grid_(grid), side_(side), down_((grid.rows - 1) / side + 1), across_((grid.cols - 1) / side + 1) {}

Window TileCut::tile(std::size_t number) const {
    const auto r = static_cast<std::int32_t>(number / static_cast<std::size_t>(across_)) * side_;
    const auto c = static_cast<std::int32_t>(number % static_cast<std::size_t>(across_)) * side_;
    return {r, c, std::min(side_, grid_.rows - r), std::min(side_, grid_.cols - c)};
}

std::size_t TileCut::tile_of(std::int32_t row, std::int32_t col) const {
    return static_cast<std::size_t>(row / side_) * static_cast<std::size_t>(across_) +
           static_cast<std::size_t>(col / side_);
}

std::size_t border_size(const Window& tile) {
    return 2 * (static_cast<std::size_t>(tile.rows) + static_cast<std::size_t>(tile.cols));
}

bool on_border(const Window& tile, std::int32_t row, std::int32_t col) {
    return row == tile.row || row + 1 == tile.row + tile.rows || col == tile.col ||
           col + 1 == tile.col + tile.cols;
}

std::size_t border_index(const Window& tile, std::int32_t row, std::int32_t col) {
    const auto r = static_cast<std::size_t>(row - tile.row);
    const auto c = static_cast<std::size_t>(col - tile.col);
    const auto rows = static_cast<std::size_t>(tile.rows);
    const auto cols = static_cast<std::size_t>(tile.cols);
    if (r == 0) return c;
    if (r + 1 == rows) return cols + c;
    return c == 0 ? 2 * cols + r : 2 * cols + rows + r;
}

}  // namespace lielow
