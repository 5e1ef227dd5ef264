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

/// Heights on another grid, in any CRS PROJ can lead to: bilinear, or with `average` the mean of what lies in
/// each cell; NaN where the source has none. `target` has its shape already. Throws InputError when it can't.
void warp_onto(const Field<float>& z, const Affine& transform, const OGRSpatialReference& crs, bool average,
               Field<float>& target, const Affine& target_transform, const OGRSpatialReference& target_crs,
               const std::string& file);

}  // namespace lielow::gdal
