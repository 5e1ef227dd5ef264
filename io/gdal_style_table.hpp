// SPDX-License-Identifier: Apache-2.0
// Private to io/: the table of a GeoPackage in which a GIS looks for the styles of its layers.
#pragma once

#include <span>

#include "io/gdal_session.hpp"
#include "io/sites_gpkg.hpp"

namespace lielow::gdal {

/// Adds table layer_styles, with a default style for each layer that has one; none where none has. The layers
/// are in the dataset already. False when GDAL reported a failure.
bool write_style_table(GDALDataset& dataset, std::span<const VectorLayer> layers);

}  // namespace lielow::gdal
