// SPDX-License-Identifier: Apache-2.0
// Upslope area on ground too large for memory.
//
// After Barnes, R. (2017): Parallel non-divergent flow accumulation for trillion cell digital elevation
// models. Environmental Modelling & Software 92:202-212: of every tile is kept how many of its own cells
// drain over each border cell and where water that comes in over a border cell leaves; the borders are added
// up in memory, and every tile is then finished by itself. Cells are counted as whole numbers, so nothing is
// rounded, however the tiles lie.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/drain_directions.hpp"
#include "sim/ground_tiles.hpp"

namespace lielow {

/// What is kept of a tile: for each border cell by border_index.
struct TileFlow {
    std::vector<std::uint32_t> own;     ///< cells of this tile that drain through it, itself included
    std::vector<std::uint32_t> leaves;  ///< border_index of the cell over which its water leaves; kStays
    std::vector<std::uint8_t> to;       ///< its direction
};
inline constexpr std::uint32_t kStays = 0xffffffffU;

/// First pass, one tile. `to`: DrainDirections::to of the tile's cells. Holds 13 bytes a cell.
TileFlow tile_flow(const Window& tile, const Field<std::uint8_t>& to);

/// Cells of other tiles whose water comes in over each border cell, by tile and border_index.
std::vector<std::vector<std::uint64_t>> join_tile_flows(const TileCut& cut,
                                                        const std::vector<TileFlow>& flows);

/// Second pass, one tile: area that drains through each cell, its own included, m²; NaN where there is no
/// ground. The number of cells times the cell's area, rounded once.
Field<double> finish_tile_upslope(const TileCut& cut, const Window& tile, const Field<std::uint8_t>& to,
                                  const std::vector<std::uint64_t>& comes_in);

}  // namespace lielow
