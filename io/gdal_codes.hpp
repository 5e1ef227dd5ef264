// SPDX-License-Identifier: Apache-2.0
// Private to io/: a raster of class codes on the ground's cells.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "io/gdal_session.hpp"
#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow::gdal {

/// The file as a raster; null when it is none.
Dataset open_raster(const std::filesystem::path& path);

/// Codes on the ground's cells, the nearest for each; 0 where there are none. `what` names them in messages.
/// Throws InputError in one line: several bands, no CRS.
Field<std::int32_t> codes_on_ground(GDALDataset& source, const Grid& grid, const GeoReference& geo,
                                    const std::string& file, const std::string& what);

}  // namespace lielow::gdal
