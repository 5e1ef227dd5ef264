// SPDX-License-Identifier: Apache-2.0
// The ground cut into catchments and the passes between them: the one structure behind hollows and fill
// stages.
//
// Every cell drains to its lowest neighbour in the strict order (elevation, cell number) and so, step by
// step, to one pit; the cells of a pit are its catchment. Water rising anywhere must cross from catchment to
// catchment over passes, so the lowest level at which two cells join is max(z of either cell, highest pass on
// the minimum spanning tree between their pits). Levels found this way equal those of Priority-Flood (Barnes,
// Lehman & Mulla 2014, Computers & Geosciences 62:117-127) bit for bit, because both are the same minimax
// over paths; they don't depend on how ties are broken. The proof is in docs/hollows-and-fill.md.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Where two neighbouring catchments join. The lowest level at which they do, over any path, is `height`.
struct Pass {
    std::int32_t a = 0;        ///< catchment nearer the root of the tree
    std::int32_t b = 0;        ///< catchment
    float height = 0;          ///< m
    std::uint32_t cell = 0;    ///< the higher of the two cells that meet there (the last of equals)
    std::uint32_t beyond = 0;  ///< the other one: the lowest neighbour on a side that `cell` doesn't drain to
};

struct Catchments {
    Field<std::int32_t> of_cell;     ///< catchment of each cell, -1 where z is NaN
    std::vector<std::uint32_t> pit;  ///< lowest cell of each catchment (the first of equals); rises
    std::vector<Pass> tree;          ///< minimum spanning forest over the ground, see below
    std::vector<float> rim_height;   ///< lowest cell of the catchment on the ground's edge, m; +inf if none
    std::vector<std::uint32_t> rim_cell;  ///< that cell (the first of equals)
};

// The tree lists the passes from the roots outward: every catchment is `b` of at most one pass (its root of
// none), and the passes between a catchment and its root come before the one that leads on from it. So one
// loop backward gathers from the leaves and one forward hands out from the root (sim/tree_sweep.hpp).

/// Cuts the ground into catchments. `z` in m, NaN outside the ground; eight neighbours; the ground's edge is
/// every cell on the raster's edge or beside a NaN. Values must be finite or NaN. At most 2³¹ − 3 cells
/// (InputError beyond). Holds up to 16 bytes a cell beyond `z`, on noise. Threads: OpenMP; the result doesn't
/// depend on their number.
Catchments find_catchments(const Grid& grid, const Field<float>& z);

}  // namespace lielow
