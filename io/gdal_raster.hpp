// SPDX-License-Identifier: Apache-2.0
// Private to io/: the last steps of write_raster, for rasters that GDAL holds already.
#pragma once

#include <filesystem>
#include <vector>

#include "io/gdal_session.hpp"
#include "io/raster.hpp"

namespace lielow::gdal {

/// Position, CRS and the nodata value of write_raster.
void place_raster(GDALDataset& dataset, const GeoReference& geo);

/// Names the band, counts its statistics and copies it to `path` as write_raster does. Throws RunError.
void copy_raster(GDALDataset& source, const std::filesystem::path& path, const BandLabel& label);

/// Names and colours of a class raster's classes; empty for any other.
std::vector<RasterClass> raster_classes(GDALRasterBand& band);

}  // namespace lielow::gdal
