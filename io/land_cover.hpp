// SPDX-License-Identifier: Apache-2.0
// Land cover from a raster of codes or from polygons with a class.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/ground.hpp"
#include "sim/land_cover.hpp"

namespace lielow {

/// `path`: a raster whose whole numbers are the classes' codes (0 and nodata: none), the nearest cell counts;
/// or polygons with the attribute `cover`, a class's name, which covers the DEM cells it covers by half,
/// later polygons over earlier ones. Throws InputError in one line: no such file, neither of the two, no CRS,
/// a code or name that no class has, not one known cell covered.
LandCover read_land_cover(const std::filesystem::path& path, const std::vector<CoverClass>& classes,
                          const Ground& ground, const GeoReference& geo, std::vector<std::string>& notes);

}  // namespace lielow
