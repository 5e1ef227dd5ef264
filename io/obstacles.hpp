// SPDX-License-Identifier: Apache-2.0
// Hedges, belts, fences, walls, banks, their openings and fans from vector files.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/remedy.hpp"
#include "sim/obstacles.hpp"

namespace lielow {

struct ObstacleFiles {
    std::optional<std::filesystem::path> belts;      ///< polygons, each a tree belt
    std::optional<std::filesystem::path> obstacles;  ///< shapes of any kind, each with the attribute `kind`
    std::vector<Remedy> remedies = {};               ///< those in force; what is no obstacle is passed over
    std::string site_file = {};                      ///< for messages about remedies
};

/// Attributes of a shape; lengths are texts with their unit ("40 ft"), or numbers in metres in an attribute
/// whose name ends in _m:
///
/// | kind | shape | attributes |
/// | --- | --- | --- |
/// | hedge, tree belt, fence | line, polygon | height, openness (0..1) |
/// | wall, bank | line, polygon | height; openness may be left out (0) |
/// | gap | point, line (with width), polygon | opens wholly what it touches, in either file |
/// | culvert, bridge | point, line (with width), polygon | height: opens what it touches up to that height; a
/// line that touches nothing leads through a bank in the DEM | | fan | point | heat ("60 kW"), radius |
///
/// Shapes are brought to the ground's CRS; one outside the ground is left out with a note. Throws InputError
/// in one line: no such file, no layer with the attributes, an unknown kind, a missing or impossible
/// attribute, a shape that doesn't fit its kind, nothing of a file on the ground, no CRS; a remedy outside
/// the ground, or a gap of one that touches nothing.
Obstacles read_obstacles(const ObstacleFiles& files, const Grid& grid, const GeoReference& geo,
                         std::vector<std::string>& notes);

/// "hedge", "tree belt" ...
std::string_view kind_name(ObstacleKind kind);

}  // namespace lielow
