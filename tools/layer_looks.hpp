// SPDX-License-Identifier: Apache-2.0
// How each layer of sites.gpkg and farms.gpkg is drawn in a GIS.
#pragma once

#include <span>

#include "io/raster.hpp"
#include "io/sites_gpkg.hpp"

namespace lielow {

/// The classes of the siting with their colours, as the map siting has them.
std::span<const RasterClass> siting_class_colours();

/// Gives every layer its style; a layer that isn't known here a plain one.
void style_layers(std::span<VectorLayer> layers);

}  // namespace lielow
