// SPDX-License-Identifier: Apache-2.0
// Culverts and bridges through banks that the DEM itself shows.
#pragma once

#include <string>
#include <vector>

#include "sim/line_cells.hpp"
#include "sim/night_surface.hpp"

namespace lielow {

struct Passage {
    std::string name;
    Polyline line;  ///< from open ground on one side to open ground on the other
    double width_m = 0;
    double height_m = 0;
};

/// Lowers the ground of the cells between each passage's ends to a straight floor from end to end, and closes
/// what is more than its opening by the drag of a screen as open as the opening's share of the cut, spread
/// over the way through. `ground` is on the coarse grid. Nothing happens where the cells between the ends
/// don't stand above that floor. Returns the names of such passages.
std::vector<std::string> add_passages(const std::vector<Passage>& passages, const Field<double>& ground,
                                      const Grid& coarse, CanopySum& canopy, NightSurface& surface);

}  // namespace lielow
