// SPDX-License-Identifier: Apache-2.0
// The layers of a finished sites.gpkg read back for the report.
#pragma once

#include <array>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// A point, a line or a ring: places in metres from the outer corner of the grid's first cell, along the rows
/// and down them.
using ShapePart = std::vector<std::array<double, 2>>;

struct ResultShape {
    std::vector<ShapePart> parts;  ///< of polygons every ring, holes too
    std::vector<std::pair<std::string, double>> numbers;
    std::vector<std::pair<std::string, std::string>> words;
};

/// Shapes of layer `layer` in their order; none where the file has no such layer. Throws RunError when the
/// file can't be read.
std::vector<ResultShape> read_result_shapes(const std::filesystem::path& path, const std::string& layer,
                                            const Grid& grid, const GeoReference& geo);

/// Longitude and latitude (WGS 84, degrees) of (col, row), fractional: cell (0, 0) has its centre at
/// (0.5, 0.5).
std::array<double, 2> longitude_latitude_at(const GeoReference& geo, double col, double row);

}  // namespace lielow
