// SPDX-License-Identifier: Apache-2.0
// Private to io/: where a DEM lies, and which way round its rows and columns are stored.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "io/gdal_session.hpp"

namespace lielow::gdal {

using Affine = std::array<double, 6>;

/// The raster as it will be read: north-up where it isn't rotated, never a mirror image.
struct Layout {
    Affine transform{};      ///< after turning
    bool flip_rows = false;  ///< the file's first row is the last of the result
    bool flip_cols = false;
};

/// Throws InputError for a raster without a position, and for one whose rows and columns don't meet at a
/// right angle.
Layout layout_of(GDALDataset& dataset, const std::string& file, std::vector<std::string>& notes);

/// The file's CRS with its vertical part, or `requested` where it has none (or only a local one). Throws
/// InputError when neither says it, when they contradict each other, and when the CRS is neither geographic
/// nor projected. `key_prefix`: DemRequest's.
OGRSpatialReference dem_crs(GDALDataset& dataset, const std::optional<std::string>& requested,
                            const std::string& file, std::vector<std::string>& notes,
                            const std::string& key_prefix);

/// Without its vertical part.
OGRSpatialReference horizontal(const OGRSpatialReference& crs);

/// Longitude and latitude (WGS 84, degrees) of a map position. Throws InputError when PROJ can't say.
std::array<double, 2> longitude_latitude(const OGRSpatialReference& crs,
                                         const std::array<double, 2>& position, const std::string& file);

/// Map position of (col, row), fractional: cell (0, 0) has its centre at (0.5, 0.5).
inline std::array<double, 2> map_position(const Affine& t, double col, double row) {
    return {t[0] + col * t[1] + row * t[2], t[3] + col * t[4] + row * t[5]};
}

}  // namespace lielow::gdal
