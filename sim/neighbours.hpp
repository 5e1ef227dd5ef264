// SPDX-License-Identifier: Apache-2.0
// The eight neighbours of a cell, in the order of their cell numbers.
#pragma once

#include <array>
#include <cstdint>

#include "sim/grid.hpp"

namespace lielow {

struct Neighbour {
    std::int32_t down;    ///< rows down the raster
    std::int32_t across;  ///< columns to the right
};

inline constexpr std::array<Neighbour, 8> kNeighbours{
    {{-1, -1}, {-1, 0}, {-1, 1}, {0, -1}, {0, 1}, {1, -1}, {1, 0}, {1, 1}}};

/// Calls visit(cell number) for each neighbour of `cell` that lies on a raster of `rows` × `cols`.
template <class Visit>
void for_each_neighbour(std::size_t cell, std::int32_t rows, std::int32_t cols, Visit visit) {
    const auto r = static_cast<std::int32_t>(cell / static_cast<std::size_t>(cols));
    const auto c = static_cast<std::int32_t>(cell % static_cast<std::size_t>(cols));
    const Grid grid{rows, cols};
    for (const Neighbour& n : kNeighbours) {
        if (grid.contains(r + n.down, c + n.across)) visit(grid.index(r + n.down, c + n.across));
    }
}

}  // namespace lielow
