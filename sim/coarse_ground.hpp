// SPDX-License-Identifier: Apache-2.0
// The ground on coarser cells, for the night: isotherm surfaces are smooth although the ground isn't.
#pragma once

#include "sim/ground.hpp"
#include "sim/ground_tiles.hpp"

namespace lielow {

/// Whole blocks of DEM cells; the last row and column of blocks may be cut by the DEM's edge.
struct Blocks {
    std::int32_t rows = 1;  ///< DEM rows in a block
    std::int32_t cols = 1;
    bool operator==(const Blocks&) const = default;
};

/// Grid of blocks that covers `fine`.
Grid block_grid(const Grid& fine, const Blocks& blocks);

/// Mean elevation of each block's known or bridged cells, m. A block without any takes the mean of its filled
/// neighbours, ring by ring, so that the ground runs on level past its edge. Throws InputError when there is
/// no ground at all.
Field<double> block_means(const Ground& ground, const Blocks& blocks);

/// The same, to the bit, of ground that isn't held in memory: `read` hands over its heights, NaN where there
/// is none, in whole rows from the first to the last, at most `most_cells` cells at once but no less than a
/// row of blocks.
Field<double> block_means(const Grid& fine, const Blocks& blocks, const ReadWindow<float>& read,
                          std::size_t most_cells);

}  // namespace lielow
