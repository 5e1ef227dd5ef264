// SPDX-License-Identifier: Apache-2.0
// The ground around a farm, on coarser cells in the farm's own rows and columns.
#pragma once

#include "sim/coarse_ground.hpp"
#include "sim/ground.hpp"

namespace lielow {

struct Surround {
    Ground ground;
    Blocks cell;                 ///< a cell of `ground`, in farm cells
    std::int32_t first_row = 0;  ///< the farm's first corner lies on the first corner of this cell
    std::int32_t first_col = 0;

    /// From the surround's first corner to the farm's, along the rows, m.
    [[nodiscard]] double east_m() const { return first_col * ground.grid.dx; }
    /// The same down the rows, m.
    [[nodiscard]] double south_m() const { return first_row * ground.grid.dy; }
};

/// Puts the farm's own elevations, averaged, where the farm lies, so that both stand on one ground.
/// Cells that the farm covers in part keep the rest of what they had.
void lay_farm(Surround& surround, const Ground& farm);

}  // namespace lielow
