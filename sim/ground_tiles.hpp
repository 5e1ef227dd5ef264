// SPDX-License-Identifier: Apache-2.0
// Ground too large for memory, cut into tiles that are worked on one at a time.
//
// Where the ground lies is the caller's business: it hands over any window on request and takes results
// window by window.
#pragma once

#include <cstdint>
#include <functional>

#include "sim/grid.hpp"

namespace lielow {

/// Rows row … row + rows − 1 and columns likewise, counted on the whole ground; may reach beyond it.
struct Window {
    std::int32_t row = 0;
    std::int32_t col = 0;
    std::int32_t rows = 0;
    std::int32_t cols = 0;

    [[nodiscard]] std::size_t cells() const {
        return static_cast<std::size_t>(rows) * static_cast<std::size_t>(cols);
    }
};

/// Fills `values` (of the window's shape) with what lies in `window`, which never reaches beyond the ground.
template <class T>
using ReadWindow = std::function<void(const Window& window, Field<T>& values)>;
/// Takes what was found for `window`.
template <class T>
using WriteWindow = std::function<void(const Window& window, const Field<T>& values)>;

/// Square tiles in the order of rows; those at the right and lower end may be narrower, down to one cell.
class TileCut {
  public:
    /// `side` in cells, ≥ 1.
    TileCut(const Grid& grid, std::int32_t side);

    [[nodiscard]] const Grid& grid() const { return grid_; }
    [[nodiscard]] std::int32_t side() const { return side_; }
    [[nodiscard]] std::int32_t down() const { return down_; }
    [[nodiscard]] std::int32_t across() const { return across_; }
    [[nodiscard]] std::size_t count() const {
        return static_cast<std::size_t>(down_) * static_cast<std::size_t>(across_);
    }
    [[nodiscard]] Window tile(std::size_t number) const;
    /// Number of the tile that holds this cell.
    [[nodiscard]] std::size_t tile_of(std::int32_t row, std::int32_t col) const;

  private:
    Grid grid_;
    std::int32_t side_;
    std::int32_t down_;
    std::int32_t across_;
};

/// Cells on the border of a tile, numbered 0 … border_size − 1 (not every number is used).
std::size_t border_size(const Window& tile);
bool on_border(const Window& tile, std::int32_t row, std::int32_t col);
/// `row` and `col` on the whole ground; the cell must be on the tile's border.
std::size_t border_index(const Window& tile, std::int32_t row, std::int32_t col);

/// Calls visit(row, col), on the whole ground, for each cell of the tile's border once, in order of rows.
template <class Visit>
void each_border_cell(const Window& tile, Visit visit) {
    for (std::int32_t r = 0; r < tile.rows; ++r) {
        const bool whole_row = r == 0 || r + 1 == tile.rows;
        for (std::int32_t c = 0; c < tile.cols; c += whole_row || tile.cols < 3 ? 1 : tile.cols - 1)
            visit(tile.row + r, tile.col + c);
    }
}

/// The tile with `halo` more cells on every side; `beyond` where that lies beyond the ground.
template <class T>
Field<T> with_halo(const Grid& grid, const Window& tile, std::int32_t halo, T beyond,
                   const ReadWindow<T>& read) {
    const std::int32_t top = std::max(0, tile.row - halo);
    const std::int32_t left = std::max(0, tile.col - halo);
    const std::int32_t bottom = std::min(grid.rows, tile.row + tile.rows + halo);
    const std::int32_t right = std::min(grid.cols, tile.col + tile.cols + halo);
    const Window inside{top, left, bottom - top, right - left};
    Field<T> values(inside.rows, inside.cols);
    read(inside, values);
    const Window wanted{tile.row - halo, tile.col - halo, tile.rows + 2 * halo, tile.cols + 2 * halo};
    if (inside.rows == wanted.rows && inside.cols == wanted.cols) return values;
    Field<T> padded(wanted.rows, wanted.cols, beyond);
    for (std::int32_t r = 0; r < inside.rows; ++r) {
        const auto from = values.row(r);
        std::copy(from.begin(), from.end(),
                  padded.row(r + inside.row - wanted.row).begin() + (inside.col - wanted.col));
    }
    return padded;
}

}  // namespace lielow
