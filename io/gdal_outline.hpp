// SPDX-License-Identifier: Apache-2.0
// Private to io/: from whatever a vector file holds to a sound flat multipolygon, and to bytes.
#pragma once

#include <ogr_geometry.h>

#include <memory>
#include <string>
#include <vector>

#include "io/gdal_session.hpp"
#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow::gdal {

using Polygons = std::unique_ptr<OGRMultiPolygon>;

/// Polygons in `geometry`: curves made of short lines, heights and measures dropped, rings closed. Null when
/// it has none.
Polygons flat_polygons(const OGRGeometry& geometry);

/// Throws InputError when the outline crosses itself or is unsound otherwise, naming the field and the place
/// (in the file's own coordinates, where its maker will look). A ring that merely touches itself is mended,
/// with a note.
Polygons sound(Polygons polygons, const std::string& field, const OGRSpatialReference& crs,
               const std::string& file, std::vector<std::string>& notes);

/// The rectangle (turned, where the raster is) that the ground covers.
Polygons extent_of(const Grid& grid, const GeoReference& geo);

/// ISO WKB, little endian.
std::vector<unsigned char> wkb_of(const OGRGeometry& geometry);

}  // namespace lielow::gdal
