// SPDX-License-Identifier: Apache-2.0
// What the DEM doesn't show or what somebody thinks of building: banks, ditches, culverts and tile lines,
// laid into the ground along a line of cells.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

enum class ChangeKind : std::uint8_t { bank, ditch, culvert, tile };

struct GroundChange {
    std::string name;
    ChangeKind kind = ChangeKind::bank;
    double height_m = 0;  ///< of a bank's crest above the ground under it
    double depth_m = 0;   ///< of a ditch's, culvert's or tile line's bed below the ground at its ends
    double width_m = 0;   ///< of a bank's crest or a ditch's bed; a line of cells at least
    /// Corners of the line as (column, row), fractional: cell (0, 0) has its middle at (0.5, 0.5). From the
    /// upper end to the lower for culverts and tile lines.
    std::vector<std::array<double, 2>> line = {};
    std::vector<std::uint32_t> cells = {};  ///< of a bank that has no line

    bool operator==(const GroundChange&) const = default;
};

/// `cells` of a bank without a line. Else cells whose middle lies within half the width of the line, and
/// those it runs through, ascending; a bank made of them has no gap that water could slip through corner to
/// corner. Cells beyond the grid are left out.
std::vector<std::uint32_t> cells_along(const Grid& grid, const GroundChange& change);

/// Lays one change into the ground. A bank raises its cells by its height. A ditch lowers them by its depth.
/// A culvert or tile line cuts its cells down to a bed that falls evenly from `depth_m` below the ground at
/// its upper end to the same below its lower end, where the ground is higher than that: water passes through
/// unthrottled. NaN stays NaN. Throws InputError when a culvert or tile line has an end outside the ground or
/// would run uphill.
void change_ground(const Grid& grid, const GroundChange& change, Field<float>& z);

}  // namespace lielow
