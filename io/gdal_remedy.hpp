// SPDX-License-Identifier: Apache-2.0
// Private to io/: the shapes of a remedy as if they stood in an obstacle file.
#pragma once

#include <string>
#include <vector>

#include "io/gdal_obstacle.hpp"
#include "io/remedy.hpp"

namespace lielow::gdal {

/// `file` is the site file as messages name it. Throws InputError in one line: no shape, one that doesn't fit
/// the kind, one that lies outside the ground.
std::vector<ObstacleShape> remedy_shapes(const Remedy& remedy, const std::string& file, const Grid& grid,
                                         const GeoReference& geo, std::vector<std::string>& notes);

}  // namespace lielow::gdal
