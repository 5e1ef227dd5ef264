// SPDX-License-Identifier: Apache-2.0
// Private to io/: opening a DEM, with the refusals that every way of reading one shares.
#pragma once

#include <filesystem>
#include <string>

#include "io/gdal_session.hpp"

namespace lielow::gdal {

/// Throws InputError in one line: no such file, not a raster, cut off.
Dataset open_dem(const std::filesystem::path& path);

/// Throws InputError in one line: other than one band, complex numbers, fewer than 3 × 3 cells.
GDALRasterBand& only_band(GDALDataset& dataset, const std::string& file);

}  // namespace lielow::gdal
