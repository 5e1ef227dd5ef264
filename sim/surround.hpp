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

/// `values`, of the surround's cells, with `farm_values`, of the farm's cells `farm`, averaged where the farm
/// lies. Cells that the farm covers or knows in part keep the rest of what they had, if they had any.
Field<float> laid_over(const Surround& surround, const Grid& farm, const Field<float>& farm_values,
                       Field<float> values);

/// Puts the farm's own elevations where the farm lies, so that both stand on one ground.
void lay_farm(Surround& surround, const Ground& farm);

}  // namespace lielow
