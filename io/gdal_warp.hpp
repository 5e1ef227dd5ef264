// SPDX-License-Identifier: Apache-2.0
// Private to io/: from degrees to metres.
#pragma once

#include <string>

#include "io/gdal_position.hpp"
#include "sim/grid.hpp"

namespace lielow::gdal {

struct Warped {
    Field<float> z;
    Affine transform{};
    OGRSpatialReference crs;
};

/// Warps heights on a geographic grid to the UTM zone of its middle, on the same datum: square cells that
/// keep the number of cells along the raster's diagonal, bilinear, NaN where the source has none. Heights are
/// carried over as they are. Holds both grids at once (8 bytes a cell). Throws InputError for a raster too
/// near a pole or wider than a UTM zone bears.
Warped warp_to_utm(const Field<float>& z, const Affine& transform, const OGRSpatialReference& crs,
                   const std::string& file);

}  // namespace lielow::gdal
