// SPDX-License-Identifier: Apache-2.0
// Which neighbour each cell sends its water to, once every hollow is full and runs over.
//
// Steepest of the eight neighbours: O'Callaghan, J. F., Mark, D. M. (1984): The extraction of drainage
// networks from digital elevation data. Computer Vision, Graphics and Image Processing 28:323-344.
#pragma once

#include <cstdint>

#include "sim/catchments.hpp"
#include "sim/grid.hpp"
#include "sim/hollows.hpp"
#include "sim/neighbours.hpp"

namespace lielow {

/// Values of DrainDirections::to beyond 0..7, which are places in kNeighbours.
inline constexpr std::uint8_t kOffGround = 8;  ///< leaves the ground here
inline constexpr std::uint8_t kUnset = 9;      ///< no way out; only on a surface with closed hollows
inline constexpr std::uint8_t kNoGround = 10;  ///< no elevation

struct DrainDirections {
    Field<float> surface;    ///< what the directions follow, m
    Field<std::uint8_t> to;  ///< see above
};

/// Number of neighbour k of a cell, or the cell's own number where it lies beyond the raster.
inline std::size_t neighbour_cell(std::int32_t rows, std::int32_t cols, std::size_t cell, std::uint8_t k) {
    const auto width = static_cast<std::size_t>(cols);
    const auto r = static_cast<std::int32_t>(cell / width) + kNeighbours[k].down;
    const auto c = static_cast<std::int32_t>(cell % width) + kNeighbours[k].across;
    const bool inside = r >= 0 && r < rows && c >= 0 && c < cols;
    return inside ? static_cast<std::size_t>(r) * width + static_cast<std::size_t>(c) : cell;
}

/// The cell that `cell` sends its water to, or itself where that is none.
inline std::size_t next_cell(const DrainDirections& directions, std::size_t cell) {
    const std::uint8_t k = directions.to[cell];
    return k < 8 ? neighbour_cell(directions.to.rows(), directions.to.cols(), cell, k) : cell;
}

/// The ground with its hollows filled to where they spill, m; NaN where z is.
Field<float> filled_ground(const Field<float>& z, const Catchments& catchments, const Hollows& hollows);

/// Directions down `surface` (m, NaN outside the ground): to the lower neighbour with the steepest fall, the
/// first of equals in the order of kNeighbours; a cell of the ground's edge without a lower neighbour sends
/// its water off the ground; across level ground see sim/flat_drainage.hpp. Following them never goes round
/// in a circle. Memory beyond the result: 8 bytes a cell. Threads: the result doesn't depend on their number.
DrainDirections drain_directions(const Grid& grid, Field<float>&& surface);

/// The same without ways across level ground, which keeps kUnset.
DrainDirections steepest_directions(const Grid& grid, Field<float>&& surface);

}  // namespace lielow
