// SPDX-License-Identifier: Apache-2.0
// Private to io/: a band's values as heights in metres, NaN where it has none.
#pragma once

#include <string>
#include <vector>

#include "io/gdal_position.hpp"
#include "sim/ground_tiles.hpp"

namespace lielow::gdal {

/// Reads the band block by block: cells that are NaN, carry the declared nodata value, are masked out or hold
/// ±FLT_MAX become NaN; scale and offset are applied, then `metres_per_unit`; rows and columns are turned as
/// `layout` says. Holds 4 bytes a cell plus a strip. Throws InputError in one line when the file is damaged
/// or cut off, and when a height can't be one on land (−500..9000 m): an undeclared nodata value or a wrong
/// unit would spoil every result.
Field<float> read_heights(GDALRasterBand& band, double metres_per_unit, const Layout& layout,
                          const std::string& file, std::vector<std::string>& notes);

/// The same for one window, counted on the turned raster, into `z` of its shape; no value in it is no error.
/// Holds a strip besides.
void read_height_window(GDALRasterBand& band, double metres_per_unit, const Layout& layout,
                        const std::string& file, const Window& window, Field<float>& z);

}  // namespace lielow::gdal
