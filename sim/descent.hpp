// SPDX-License-Identifier: Apache-2.0
// First pass over the ground: where each cell drains to, and which cells are pits, saddles or rim. Inner part
// of find_catchments.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Meaning of the numbers while catchments are being found: >= 0 is a catchment, -1 no value, and anything
/// lower is the way on to cell (or catchment) onward(number).
inline constexpr std::int32_t kNoCatchment = -1;
constexpr std::int32_t onward(std::int32_t number) {
    return -2 - number;
}

/// A cell from which the ground falls away on two sides that don't touch: the only places where catchments
/// can join for the first time.
struct Saddle {
    std::uint32_t cell = 0;
    std::uint32_t beyond = 0;  ///< the lowest neighbour on a side that `cell` itself doesn't drain to
};

/// What was met in a strip of rows; cells rise along each list.
struct Landmarks {
    std::vector<std::uint32_t> pits;
    std::vector<std::uint32_t> rim;  ///< on the raster's edge or beside a NaN
    std::vector<Saddle> saddles;
};

/// Writes to `way` the lowest neighbour of each cell in rows first <= r < last, in the strict order
/// (elevation, cell number), as onward(neighbour); pits hold onward(themselves), cells without a value
/// kNoCatchment.
Landmarks find_descent(const Field<float>& z, std::int32_t first, std::int32_t last,
                       Field<std::int32_t>& way);

/// Replaces the ways on by the number each ends at: in `way[begin..end)` only, up to the last cell inside.
/// Cells whose way leads outside keep the cell outside.
void shorten_ways(std::span<std::int32_t> way, std::size_t begin, std::size_t end);

/// Replaces all ways on by the catchment they end at. Every end must hold a catchment.
void follow_ways(std::span<std::int32_t> way);

}  // namespace lielow
