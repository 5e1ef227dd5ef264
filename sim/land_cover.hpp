// SPDX-License-Identifier: Apache-2.0
// What grows or lies on the ground: how much heat it takes out of the air, how it holds the air back.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/coarse_ground.hpp"
#include "sim/night_surface.hpp"

namespace lielow {

struct CoverClass {
    std::string name;
    std::optional<int> code;            ///< in a raster of codes
    double loss = 1;                    ///< factor on the night's loss out of the air
    std::optional<double> ground_drag;  ///< coefficient; nullopt = the night's
    double height_m = 0;                ///< of its canopy; 0 = none
    double canopy_drag = 0;             ///< drag coefficient × frontal area index of the whole canopy
    std::string source;
};

/// The classes the program brings along; docs/land-cover.md shows them with their sources.
const std::vector<CoverClass>& usual_cover_classes();

/// Every DEM cell's class: its place in `classes` plus 1, 0 where none is given.
struct LandCover {
    std::vector<CoverClass> classes;
    Field<std::uint8_t> cells;
};

/// Each DEM cell's factor on the loss, 1 where no class is given.
Field<float> cover_loss(const LandCover& cover);

/// Means over coarse cells: canopies into `canopy`, ground drag into `surface`, that of the night,
/// `night_drag`, where a class has none of its own.
void add_cover(const LandCover& cover, const Blocks& blocks, double night_drag, CanopySum& canopy,
               NightSurface& surface);

}  // namespace lielow
