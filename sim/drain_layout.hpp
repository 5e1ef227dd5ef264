// SPDX-License-Identifier: Apache-2.0
// Pipes and ditches as the water table meets them, cell by cell.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/line_cells.hpp"
#include "sim/soil.hpp"

namespace lielow {

struct DrainLine {
    std::string name;
    bool ditch = false;           ///< open, else a pipe
    double depth_m = 0;           ///< of the ditch's water or the pipe's axis below the surface, > 0
    double radius_m = 0.05;       ///< of a pipe with its envelope
    double spacing_m = 0;         ///< to its neighbours; 0 = not known
    std::vector<Polyline> lines;  ///< m along and down the rows
};

/// Adds lines to `drains`. A pipe draws a cell's length of it times radial_conductance_m_s
/// (sim/drain_spacing.hpp), with the ground's depth below it, at most a quarter of the spacing; without room
/// below it, it acts as a ditch. Where lines share a cell their conductances add up and the deeper level
/// counts.
void lay_lines(const Grid& grid, const Soil& soil, std::span<const DrainLine> lines, GroundDrains& drains);

/// Parallel pipes, not drawn one by one: each of `cells`, by its `share`, gives off what Hooghoudt's formula
/// says for its mean water table, m³/s. Cells with a drawn pipe keep that alone.
void lay_pattern(const Grid& grid, const Soil& soil, std::span<const std::uint32_t> cells,
                 std::span<const float> share, double depth_m, double spacing_m, double radius_m,
                 GroundDrains& drains);

}  // namespace lielow
