// SPDX-License-Identifier: Apache-2.0
// Which cells a line crosses, as a chain without a gap that air could slip through.
//
// Air passes from cell to cell through faces, never across a corner, so a chain whose links touch at corners
// is tight already. Along each segment's longer axis every column (or row) of cells gives one link, the cell
// in which the middle of the segment's part there lies; so each link has open ground on both sides, and what
// opens one link opens a way through.
#pragma once

#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Metres along the rows and down the rows, from the outer corner of cell (0, 0).
struct GroundPoint {
    double x = 0;
    double y = 0;
};
using Polyline = std::vector<GroundPoint>;

struct ChainLink {
    std::int32_t row = 0;
    std::int32_t col = 0;
    double from_m = 0;  ///< distances along the line at which the part counted here begins and ends
    double to_m = 0;
};

/// In the line's order; parts outside the grid are left out. A cell may appear more than once.
std::vector<ChainLink> line_cells(const Polyline& line, const Grid& grid);

}  // namespace lielow
