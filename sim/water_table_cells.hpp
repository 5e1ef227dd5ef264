// SPDX-License-Identifier: Apache-2.0
// Private to the water table: the ground as arrays over the cells that have ground, and their neighbours.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "sim/grid.hpp"
#include "sim/soil.hpp"

namespace lielow {

/// Order of the four neighbours: as their columns stand in a row of the matrix.
enum CellSide : std::uint8_t { kNorth, kWest, kEast, kSouth };
inline constexpr std::int32_t kNoCell = -1;

/// Cells with ground are numbered row by row; all arrays but `cell` run over those numbers.
struct WaterTableCells {
    Grid grid;
    std::vector<std::uint32_t> cell;                     ///< in the grid
    std::vector<std::array<std::int32_t, 4>> neighbour;  ///< by CellSide, kNoCell where there is none
    std::vector<double> floor;                           ///< elevation of the restrictive layer, m
    std::vector<double> depth;                           ///< of it below the surface, m
    std::vector<double> cap;    ///< greatest saturated thickness: to the surface, or to a ditch's water, m
    std::vector<double> store;  ///< area × drainable porosity, m²
    std::vector<double> east;   ///< conductivity × width / distance towards the east, m/s
    std::vector<double> south;
    std::vector<double> edge;  ///< discharge over the ground's edge for each metre of thickness, m²/s

    /// Drains; empty where there are none.
    std::vector<double> drain_level;   ///< thickness at which the pipe begins to run, m
    std::vector<double> drain_linear;  ///< m²/s
    std::vector<double> drain_square;  ///< m/s

    [[nodiscard]] std::size_t size() const { return cell.size(); }
    /// Conductance through a side, m/s. The neighbour must be there.
    [[nodiscard]] double conductance(std::size_t i, CellSide side) const {
        if (side == kEast) return east[i];
        if (side == kSouth) return south[i];
        const auto other = static_cast<std::size_t>(neighbour[i][side]);
        return side == kWest ? east[other] : south[other];
    }
};

/// Throws InputError for fields of another shape, and for soil that can't be (not finite, not positive),
/// naming row and column. A cell without elevation has no ground.
WaterTableCells water_table_cells(const Grid& grid, const Field<float>& z, const Soil& soil,
                                  const GroundDrains& drains);

}  // namespace lielow
