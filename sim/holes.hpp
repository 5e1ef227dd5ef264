// SPDX-License-Identifier: Apache-2.0
// Holes in a DEM: which are small enough to bridge, and the bridging itself.
#pragma once

#include <cstddef>

#include "sim/ground.hpp"

namespace lielow {

/// What was found of cells without a value.
struct HoleReport {
    std::size_t bridged_holes = 0;  ///< holes closed for the flow
    std::size_t bridged_cells = 0;
    std::size_t open_holes = 0;     ///< holes left open inside the ground: flow treats their rim as an edge
    std::size_t open_cells = 0;     ///< cells of those
    std::size_t outside_cells = 0;  ///< cells without a value that reach the raster's edge
};

/// Closes every hole (4-connected patch of NaN in ground.z that doesn't reach the raster's edge) of at most
/// `largest_cells` cells with the smooth surface spanned by its rim (Laplace's equation, rim values fixed).
/// `ground.known` is left as it is.
HoleReport bridge_small_holes(Ground& ground, std::size_t largest_cells);

}  // namespace lielow
