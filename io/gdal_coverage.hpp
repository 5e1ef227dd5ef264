// SPDX-License-Identifier: Apache-2.0
// Private to io/: which share of each cell a polygon covers.
#pragma once

#include <ogr_geometry.h>

#include <cstdint>
#include <vector>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow::gdal {

struct Coverage {
    std::vector<std::uint32_t> cells;  ///< ascending
    std::vector<float> share;          ///< of each, > 0
};

/// Counts for every cell how many of 4 × 4 points in it lie inside `polygon` (map coordinates), and scales
/// the shares of the cells that its edge cuts so that all of them together are as large as it is. A polygon
/// that lies on the ground but misses every point gets the cell of its middle, with the share its area has
/// there.
Coverage coverage_of(const OGRGeometry& polygon, double area_m2, const Grid& grid, const GeoReference& geo);

}  // namespace lielow::gdal
