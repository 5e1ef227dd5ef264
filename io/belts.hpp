// SPDX-License-Identifier: Apache-2.0
// Tree belts and hedges: what stands in the way of the air.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

struct Belt {
    std::string name;
    double height_m = 0;
    double openness = 0;               ///< share of its face one can see through, 0 = none, 1 = all
    double width_m = 0;                ///< twice the outline's area over its perimeter
    std::vector<std::uint32_t> cells;  ///< cells at least partly inside, ascending
    std::vector<float> share;          ///< of each, 0..1
};

/// Reads polygons with the attributes `height` (a text with its unit, "40 ft"; or `height_m`, a number in
/// metres) and `openness` (0..1), reprojected to the ground's CRS; a belt outside the ground is left out with
/// a note. Throws InputError in one line: no such file, no polygons, no height or openness, either out of
/// range, no CRS.
std::vector<Belt> read_belts(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo,
                             std::vector<std::string>& notes);

/// Drag coefficient × frontal area density of a belt, 1/m. Openness o is taken as the light let through by
/// leaves and stems of total frontal area index −ln(o) across the width (Beer's law for randomly spread
/// elements), each with the drag coefficient 0.2 usual for foliage (quoted from memory). Openness 1 gives 0;
/// below 0.01 it counts as 0.01.
double belt_drag_per_metre(const Belt& belt);

}  // namespace lielow
